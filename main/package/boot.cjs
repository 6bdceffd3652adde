// Inside the packaged executable: unpacks the program beside the person's other caches, once for each version, and
// starts it there. Threads and pages need files, and an executable has none; the folder's name is the digest of what is
// in it, so that a changed or half-written one is never run.
'use strict';
const { existsSync, lstatSync, mkdirSync, renameSync, rmSync, writeFileSync } = require('node:fs');
const { createRequire } = require('node:module');
const { homedir, tmpdir } = require('node:os');
const path = require('node:path');
const { getAsset } = require('node:sea');
const { deserialize } = require('node:v8');
const { gunzipSync } = require('node:zlib');

const digest = getAsset('digest', 'utf8');

function places() {
  const cache = process.env.XDG_CACHE_HOME || (homedir() && path.join(homedir(), '.cache'));
  return [
    ...(cache ? [path.join(cache, 'plumbline')] : []),
    path.join(tmpdir(), `plumbline-${process.getuid?.() ?? 'program'}`),
  ];
}

/** A folder that somebody else made or may write to could hold somebody else's program. */
function ownFolder(place) {
  mkdirSync(place, { recursive: true, mode: 0o700 });
  const { uid, mode } = lstatSync(place);
  const own = process.getuid === undefined || (uid === process.getuid() && (mode & 0o022) === 0);
  if (!own || !lstatSync(place).isDirectory()) throw new Error('it is not this person’s own folder');
}

function unpackedIn(place) {
  ownFolder(place);
  const folder = path.join(place, `program-${digest.slice(0, 16)}`);
  if (existsSync(path.join(folder, 'whole'))) return folder;
  const half = `${folder}.${process.pid}`;
  for (const [file, bytes] of Object.entries(deserialize(gunzipSync(Buffer.from(getAsset('program')))))) {
    mkdirSync(path.dirname(path.join(half, file)), { recursive: true, mode: 0o700 });
    writeFileSync(path.join(half, file), bytes);
  }
  writeFileSync(path.join(half, 'whole'), digest);
  try {
    renameSync(half, folder);
  } catch {
    // Another start was faster, or an interrupted one left a folder without its last file.
    if (!existsSync(path.join(folder, 'whole'))) {
      rmSync(folder, { recursive: true, force: true });
      renameSync(half, folder);
    } else rmSync(half, { recursive: true, force: true });
  }
  return folder;
}

function unpacked() {
  const failures = [];
  for (const place of places()) {
    try {
      return unpackedIn(place);
    } catch (error) {
      failures.push(`${place}: ${error.code === 'ENOSPC' ? 'the disk is full' : error.message}`);
    }
  }
  process.stderr.write(`Plumbline could not unpack itself. ${failures.join('; ')}\n`);
  return null;
}

const folder = unpacked();
if (folder === null) process.exitCode = 1;
else createRequire(path.join(folder, 'start.cjs'))('./start.cjs').run(folder, process.argv.slice(2));
