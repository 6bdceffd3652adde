// `npm test`: installs and builds what is missing, then checks types, lint and format, then runs every test, and says
// at the end what was left out and why. `npm test -- tests/main` runs only those tests, after the same checks.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { ensureBuilt, ensureInstalled, plainly, root, say } from '../main/setup.mjs';

const requireAll = process.env['PLUMBLINE_REQUIRE_ALL'] === '1';
const answers = join(root, 'node_modules', '.cache', 'plumbline');
const bin = (/** @type {string[]} */ ...path) => join(root, 'node_modules', ...path);

/** One check: what it is called, and the program of node_modules that makes it. */
const CHECKS = [
  ...['core', 'renderer', 'main', 'tests'].map((project) => ({
    name: `types of ${project}`,
    run: [bin('typescript', 'bin', 'tsc'), '-p', project],
  })),
  { name: 'lint', run: [bin('oxlint', 'bin', 'oxlint'), '--type-aware'] },
  { name: 'format', run: [bin('prettier', 'bin', 'prettier.cjs'), '--check', '--log-level', 'warn', '.'] },
];

/** Runs a program of node_modules on this Node, its output going straight on; answers whether it ended well. */
function runs(/** @type {string[]} */ args, environment = {}) {
  const ran = spawnSync(process.execPath, args, {
    cwd: root,
    stdio: ['ignore', 'inherit', 'inherit'],
    env: { ...process.env, ...environment },
  });
  if (ran.error !== undefined) say(`${args[0]} did not start: ${ran.error.message}`);
  return ran.status === 0;
}

/** What Vitest counted, from its own report; null where it wrote none. */
function readReport(/** @type {string} */ path) {
  try {
    const report = JSON.parse(readFileSync(path, 'utf8'));
    const tests = report.testResults.flatMap((file) =>
      file.assertionResults.map((test) => ({ file: file.name.slice(root.length + 1), ...test })),
    );
    // A file that failed before its tests were collected counts as one failure, or it would not count at all.
    const unread = report.testResults.filter(
      (file) => file.status === 'failed' && file.assertionResults.every((test) => test.status !== 'failed'),
    );
    return {
      passed: tests.filter((test) => test.status === 'passed').length,
      failed: tests.filter((test) => test.status === 'failed').length + unread.length,
      leftOut: tests.filter((test) => test.status !== 'passed' && test.status !== 'failed'),
    };
  } catch {
    return null;
  }
}

/** The files of what was left out, by the reason that each skipped test names in its title. */
function byReason(/** @type {{ title: string, file: string }[]} */ tests) {
  const reasons = new Map();
  for (const { title, file } of tests) {
    const why = /\(left out: (.*)\)$/.exec(title)?.[1] ?? 'no reason given';
    reasons.set(why, (reasons.get(why) ?? new Set()).add(file));
  }
  return reasons;
}

/**
 * Where nothing may be left out, only this may be: the suite that needs Electron's own program, which no machine of
 * ours has, and the flights through gpsd, a daemon that not every mirror of Debian's packages gives.
 */
const mayBeLeftOut = (/** @type {{ title: string }} */ test) => /left out: no (Electron|gpsd)/.test(test.title);

await plainly(async () => {
  ensureInstalled();
  const failedChecks = [];
  let passedChecks = 0;
  try {
    await ensureBuilt(['client', 'main', 'preload']);
    passedChecks += 1;
  } catch (error) {
    say(error.message);
    failedChecks.push('build');
  }
  for (const { name, run } of CHECKS) {
    const good = runs(run);
    process.stdout.write(`${good ? 'passed' : 'FAILED'}: ${name}\n`);
    if (good) passedChecks += 1;
    else failedChecks.push(name);
  }

  mkdirSync(answers, { recursive: true });
  const path = join(answers, 'vitest.json');
  rmSync(path, { force: true });
  const wanted = process.argv.slice(2);
  const good = runs(
    [
      bin('vitest', 'vitest.mjs'),
      'run',
      '--reporter=default',
      '--reporter=json',
      `--outputFile.json=${path}`,
      ...wanted,
    ],
    {
      PLUMBLINE_SUMMARY: '1',
    },
  );
  const report = readReport(path) ?? { passed: 0, failed: 1, leftOut: [] };

  for (const name of failedChecks) process.stdout.write(`FAILED: ${name}\n`);
  for (const [why, files] of byReason(report.leftOut))
    process.stdout.write(`LEFT OUT (${why}): ${[...files].join(', ')}\n`);
  const forbidden = requireAll ? report.leftOut.filter((test) => !mayBeLeftOut(test)) : [];
  if (forbidden.length > 0)
    process.stdout.write(`FAILED: ${forbidden.length} left out where nothing may be (PLUMBLINE_REQUIRE_ALL=1)\n`);
  const passed = passedChecks + report.passed;
  const failed = failedChecks.length + report.failed + forbidden.length;
  const bad = !good || failed > 0;
  // Vitest may fail without a failed test (an error outside of any): the count must not read as if all were well.
  process.stdout.write(`${passed} passed, ${bad && failed === 0 ? 1 : failed} failed\n`);
  return bad ? 1 : 0;
});
