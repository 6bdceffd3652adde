// What is inside the package: the licences of all that is bundled, and a bill of materials in an open standard
// (CycloneDX 1.6, ECMA-424).
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Refusal, root } from '../setup.mjs';

/** Licences of packages whose package.json names none, read off their own licence text. */
const READ_OFF = { arc: 'BSD-2-Clause', suncalc: 'BSD-2-Clause' };
const LICENCE_FILE = /^(licen[cs]e|copying|notice)/i;

/** The packages that the program runs with, dependencies of dependencies included: name, version, licence, texts. */
export function bundled() {
  const lock = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')).packages;
  const found = new Map();
  const waiting = Object.keys(lock[''].dependencies ?? {}).map((name) => ({ name, from: '' }));
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    const path = placeOf(lock, next);
    if (path === null || found.has(path)) continue;
    const entry = lock[path];
    found.set(path, {
      name: next.name,
      version: entry.version,
      integrity: entry.integrity,
      ...licenceOf(path, next.name),
    });
    for (const name of Object.keys(entry.dependencies ?? {})) waiting.push({ name, from: path });
  }
  return [...found.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
}

/** Where a package lies, seen from another: inside it, else in the folders above it. Optional ones may be absent. */
function placeOf(lock, { name, from }) {
  for (let folder = from; ; folder = folder.slice(0, Math.max(0, folder.lastIndexOf('/node_modules/')))) {
    const path = `${folder === '' ? '' : `${folder}/`}node_modules/${name}`;
    if (lock[path] !== undefined) return path;
    if (folder === '') return null;
  }
}

function licenceOf(path, name) {
  const folder = join(root, path);
  const { license = READ_OFF[name], author } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const texts = readdirSync(folder)
    .filter((file) => LICENCE_FILE.test(file))
    .map((file) => readFileSync(join(folder, file), 'utf8').trim());
  if (typeof license !== 'string')
    throw new Refusal(`${name} names no licence in its package.json; it cannot be shipped.`);
  // A package without a text of its own is named with its licence and its author, which is what it gives.
  const by = typeof author === 'string' ? author : (author?.name ?? 'its authors');
  return { licence: license, texts: texts.length > 0 ? texts : [`${license}, by ${by}.`] };
}

/** The notices as one text for a person. */
export function noticesText(packages = bundled()) {
  const node = nodeLicence();
  const parts = packages.map(
    ({ name, version, licence, texts }) => `${name} ${version} (${licence})\n\n${texts.join('\n\n')}`,
  );
  return [
    'Plumbline is built with the work of others. Their names, licences and notices:',
    ...parts,
    `Node.js ${process.version} (MIT and the licences of what it contains)\n\n${node}`,
  ].join(`\n\n${'-'.repeat(78)}\n\n`);
}

/** Node's own notices where its installation brings them, else where they stand. */
function nodeLicence() {
  const folder = join(process.execPath, '..', '..');
  const file = [join(folder, 'LICENSE'), join(folder, 'share', 'doc', 'nodejs', 'LICENSE')].find(existsSync);
  return file === undefined
    ? `Copyright Node.js contributors. The whole text is the file LICENSE of the Node.js ${process.version} source.`
    : readFileSync(file, 'utf8').trim();
}

/** The bill of materials: a CycloneDX document as JSON. */
export function billOfMaterials(version, packages = bundled()) {
  const component = ({ name, version: of, licence, integrity }) => ({
    type: 'library',
    name,
    version: of,
    purl: `pkg:npm/${name.replace('@', '%40')}@${of}`,
    licenses: [/[ ()]/.test(licence) ? { expression: licence } : { license: { id: licence } }],
    ...(typeof integrity === 'string' && integrity.startsWith('sha512-')
      ? { hashes: [{ alg: 'SHA-512', content: Buffer.from(integrity.slice(7), 'base64').toString('hex') }] }
      : {}),
  });
  return {
    bomFormat: 'CycloneDX',
    specVersion: '1.6',
    version: 1,
    metadata: { component: { type: 'application', name: 'plumbline', version } },
    components: [
      ...packages.map(component),
      {
        type: 'platform',
        name: 'node',
        version: process.versions.node,
        purl: `pkg:generic/node@${process.versions.node}`,
      },
    ],
  };
}
