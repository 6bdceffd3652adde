// npm run bench: speed in ratios and errors in metres, against the reference integration and a plain C program of the
// same model.
//   node tests/bench/run.mjs [--json] [--members 10000] [--rounds 7] [--missions 4] [--growth [NAME]] [--kills [200]]
//   [--soak [24]] [--page]
//   20 missions: the whole table, some minutes. growth: only how times and memory grow, see growth.mjs. kills: only
//   the desk that is killed while it writes. soak: only what a simulated day leaves in memory. page: only what a
//   person waits for in the real page. Last come the other times that were promised: the analysis of a long log, the
//   slider of the ascent, and the crews' places. Ratios are of medians, measured turn by turn in one run, so that what
//   the machine does meanwhile touches both sides.
import { execFileSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { availableParallelism, cpus, loadavg } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'vite';
import { ensureBuilt } from '../../main/setup.mjs';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
process.chdir(root);
const outDir = join(root, 'node_modules', '.cache', 'plumbline', 'bench');
mkdirSync(outDir, { recursive: true });

const json = process.argv.includes('--json');
const say = json ? (line) => process.stderr.write(`${line}\n`) : (line) => console.log(line);
const option = (name, fallback) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? fallback : Number(process.argv[at + 1]);
};
const members = option('members', 10_000);
const rounds = option('rounds', 7);
const missions = option('missions', 4);
const TRUTHS = 100;
const SEED = 7;

const median = (numbers) => numbers.toSorted((a, b) => a - b)[numbers.length >> 1];
const per = (x) => x.toFixed(1);

async function bundle() {
  await build({
    configFile: false,
    logLevel: 'warn',
    // As the program's own build does it, for packages that look for their own folder.
    define: { __dirname: 'import.meta.dirname' },
    ssr: { noExternal: true, external: ['playwright-core', 'vite'] },
    build: {
      ssr: true,
      outDir,
      minify: false,
      rolldownOptions: {
        input: {
          measure: 'tests/bench/measure.ts',
          promises: 'tests/bench/promises.ts',
          worker: 'main/worker.ts',
          windToPicture: 'tests/bench/windToPicture.ts',
          editToAnswers: 'tests/bench/editToAnswers.ts',
          growth: 'tests/bench/growth.ts',
          kills: 'tests/bench/kills.ts',
          soak: 'tests/bench/soak.ts',
        },
        output: { entryFileNames: '[name].js', chunkFileNames: 'parts/[name].js' },
      },
    },
  });
  return import(pathToFileURL(join(outDir, 'measure.js')).href);
}

/** The C program, or null with a line that says what is missing. */
function buildC() {
  const path = join(outDir, 'descent');
  try {
    execFileSync('gcc', ['-O3', '-o', path, join(root, 'tests', 'bench', 'descent.c'), '-lm'], { stdio: 'pipe' });
    return path;
  } catch (error) {
    say(
      `LEFT OUT: the comparison with C needs gcc (${error.code === 'ENOENT' ? 'not found' : String(error.stderr ?? error)})`,
    );
    return null;
  }
}

function benchPredict(measure, scenario) {
  const against = measure.againstOdex(40);
  measure.timePrediction(scenario, 300);
  const ours = [];
  const ratios = [];
  for (let round = 0; round < 3 * rounds; round++) {
    ours.push(measure.timePrediction(scenario, 60));
    const { c, scenario: one } = against.cases[round % against.cases.length];
    measure.timePrediction(one, 20);
    ratios.push({ ours: measure.timePrediction(one, 60), odex: measure.timeOdex(c, against.tolerance, 3) });
  }
  const odexRatio = median(ratios.map(({ ours: a, odex: b }) => a / b));
  say(
    `one prediction from 39 km, with its track: median ${per(median(ours))} µs, minimum ${per(Math.min(...ours))} µs`,
  );
  say(`its landing over 40 random missions: worst ${against.worst_m.toFixed(3)} m from odex at 1e-12`);
  say(
    `odex at ${against.tolerance.toExponential(0)} lands ${against.odexWorst_m.toFixed(3)} m off at worst; ours takes ${odexRatio.toFixed(3)} of its time`,
  );
  return { median_us: median(ours), min_us: Math.min(...ours), landingError_m: against.worst_m, odexRatio };
}

/** One way of steering: members through one and two workers and through C, turn by turn. */
async function benchEnsemble(measure, policy, c, pools) {
  const bench = await measure.setupOf(policy, SEED);
  const { setup } = bench;
  const scenarioPath = join(outDir, 'scenario.txt');
  const terrainPath = join(outDir, 'terrain.f32');
  const landingsPath = join(outDir, 'landings.f64');
  measure.writeFlat(setup, scenarioPath, terrainPath);
  const runC = (count) => {
    const words = execFileSync(c, [scenarioPath, terrainPath, String(count), landingsPath], { encoding: 'utf8' })
      .trim()
      .split(' ');
    return { wall_us: Number(words[0]), cpu_us: Number(words[1]) };
  };
  const truth = measure.truthOf(bench, TRUTHS);
  const miss = measure.missOf(truth, setup);
  let cMiss = null;
  if (c !== null) {
    runC(TRUTHS);
    cMiss = measure.missOfFile(truth, landingsPath);
  }
  for (const pool of pools.values()) await measure.timePool(pool, setup, 2000);
  const times = new Map([...pools.keys(), 'c'].map((key) => [key, []]));
  for (let round = 0; round < rounds; round++) {
    for (const [workers, pool] of pools) times.get(workers).push(await measure.timePool(pool, setup, members));
    if (c !== null) times.get('c').push(runC(members));
  }
  const medians = (key) =>
    Object.fromEntries(
      [...times].filter(([, all]) => all.length > 0).map(([who, all]) => [who, median(all.map((one) => one[key]))]),
    );
  const us = medians('wall_us');
  const cpu = medians('cpu_us');
  const against = c === null ? '' : `, C ${per(us.c)} µs`;
  say(
    `ensemble of ${members} from 39 km, ${policy}: a member ${per(us['1'])} µs on one worker, ${per(us['2'])} µs on two${against}`,
  );
  if (c !== null) {
    say(
      `  ratio to C: one worker ${(us['1'] / us.c).toFixed(3)} (at most 0.6), two ${(us['2'] / us.c).toFixed(3)} (at most 0.35)`,
    );
    // Where other programs take the processors, the clock counts them; the processor's own time and the quickest round
    // do so less.
    say(
      `  of the processor's time: one worker ${per(cpu['1'])} µs, C ${per(cpu.c)} µs, ratio ${(cpu['1'] / cpu.c).toFixed(3)}`,
    );
    const least = (who) => Math.min(...times.get(who).map(({ wall_us }) => wall_us));
    const ratios = ['1', '2'].map((workers) => (least(workers) / least('c')).toFixed(3)).join(', two ');
    say(
      `  in the quickest rounds: one worker ${per(least('1'))} µs, two ${per(least('2'))} µs, C ${per(least('c'))} µs; ratio one ${ratios}`,
    );
  }
  const text = ({ mean_m, worst_m, worst_s }) =>
    `mean ${(mean_m * 100).toFixed(2)} cm, worst ${(worst_m * 100).toFixed(2)} cm, ${worst_s.toFixed(4)} s`;
  say(
    `  landing error over ${TRUTHS} members against odex at 1e-12: ${text(miss)}${cMiss === null ? '' : `; C ${text(cMiss)}`}`,
  );
  return { us, cpu, miss, cMiss };
}

/** The other times that were promised: the long log, the slider of the ascent, hostile XML, the crews' places. */
async function benchPromises(promises) {
  const { fold_ms, analysis_ms } = await promises.longLog(10_000, rounds);
  const analysis = { fold_ms: median(fold_ms), analysis_ms: median(analysis_ms) };
  say(
    `10 000 reports in the log: folded in ${per(analysis.fold_ms)} ms, analysed in ${per(analysis.analysis_ms)} ms (at most 50)`,
  );
  const leaveNow_ms = median(await promises.leaveNow(rounds));
  say(`an exit during the ascent, a height of its slider: ${leaveNow_ms.toFixed(2)} ms`);
  const xmlGrowth = promises.hostileXmlGrowth();
  say(`hostile XML twice as long takes at most ${xmlGrowth.toFixed(2)} times as long`);
  const threeCrews_ms = median(await promises.threeCrewsTenCases(rounds));
  say(`places for three crews over ten cases of 500 members: ${per(threeCrews_ms)} ms (at most 1000)`);
  say(
    'places against brute force on a grid of 250 m (within 1.02 of its cost in a tenth of its time) and against random ones (a third less):',
  );
  const runs = await promises.placements(missions);
  for (const run of runs) {
    const times = `${run.search_ms.toFixed(0).padStart(4)} ms against ${run.brute_ms.toFixed(0).padStart(6)} ms: ${(run.search_ms / run.brute_ms).toFixed(3)}`;
    say(`  ${promises.costRow(run)}; ${times}`);
  }
  const most = (value) => Math.max(...runs.map(value));
  const placement = {
    threeCrews_ms,
    costToBrute: most((run) => run.cost / run.brute),
    timeToBrute: {
      median: median(runs.map((run) => run.search_ms / run.brute_ms)),
      worst: most((run) => run.search_ms / run.brute_ms),
    },
    timeToRandom: runs.reduce((sum, run) => sum + run.mean_s / run.random_s, 0) / runs.length,
  };
  say(
    `  cost at most ${placement.costToBrute.toFixed(4)} of brute force's, in ${placement.timeToBrute.median.toFixed(3)} of its time (worst ${placement.timeToBrute.worst.toFixed(3)}); ` +
      `expected time ${((1 - placement.timeToRandom) * 100).toFixed(0)} % less than at random`,
  );
  return { longLog_ms: analysis, leaveNow_ms, xmlGrowth, placement };
}

/** Quantiles of what the real page took; null with a line that says why where it could not be measured. */
async function inPage(words, limit_ms, measured) {
  try {
    const took = await measured();
    if (took === null) {
      say(`LEFT OUT: ${words}: no Chromium was found on this machine`);
      return null;
    }
    const sorted = took.toSorted((a, b) => a - b);
    const quantile = (share) => sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)];
    const found = { p50: quantile(0.5), p95: quantile(0.95) };
    say(
      `${words}, through the real page, ${took.length} times: p50 ${per(found.p50)} ms, p95 ${per(found.p95)} ms (at most ${limit_ms})`,
    );
    return found;
  } catch (error) {
    say(`LEFT OUT: ${words}: ${error instanceof Error ? error.message.split('\n')[0] : String(error)}`);
    return null;
  }
}

/** What a person waits for in the real page: a key's track, a wind's picture, a report's landing, the three answers. */
async function benchPage() {
  const answer = {};
  await ensureBuilt(['client']).catch((error) => say(String(error)));
  const page = await import(pathToFileURL(join(outDir, 'windToPicture.js')).href);
  let keys = null;
  answer.keyToTrack_ms = await inPage('a key on the exit: handled, and its track painted', 16.7, async () => {
    keys = await page.keyToTrack(root, 40);
    return keys === null ? null : keys.map((one) => one.work_ms);
  });
  if (keys !== null && answer.keyToTrack_ms !== null) {
    const middle = (name) => median(keys.map((one) => one[name]));
    answer.keyToTrack_ms.inFirstFrame = keys.filter((one) => one.firstFrame).length / keys.length;
    say(
      `  painted in the first frame after the key ${keys.filter((one) => one.firstFrame).length} of ${keys.length} times, ${per(middle('painted_ms'))} ms after it with the wait for the frame; ` +
        `the browser was through with that frame after ${per(middle('frame_ms'))} ms, with the panels' after ${per(middle('panels_ms'))} ms (medians, no graphics processor)`,
    );
  }
  answer.windToPicture_ms = await inPage('from a changed wind to a redrawn first picture', 150, () =>
    page.windToPicture(root, 40),
  );
  answer.reportToLanding_ms = await inPage('from an entered report to its redrawn landing', 150, () =>
    page.reportToLanding(root, 30),
  );
  const { editToAnswers } = await import(pathToFileURL(join(outDir, 'editToAnswers.js')).href);
  const edits = editToAnswers(root, 20);
  // Each line says what went wrong; nothing is left without a hearer meanwhile.
  edits.catch(() => {});
  for (const [name, words, limit_ms] of [
    ['verdict_ms', 'from an edit of the exit to the verdict', 400],
    ['board_ms', 'from an edit of the exit to the crews’ board', 1000],
    ['brief_ms', 'from an edit of the exit to the brief', 1500],
  ])
    answer[name] = await inPage(words, limit_ms, async () => (await edits)?.[name] ?? null);
  return answer;
}

const measure = await bundle();
const grows = process.argv.indexOf('--growth');
if (grows >= 0) {
  const { growth } = await import('./growth.mjs');
  await growth(outDir, process.argv[grows + 1], say);
  process.exit(0);
}
const soaks = process.argv.indexOf('--soak');
if (soaks >= 0) {
  await ensureBuilt(['client']);
  const { soak, saidFlat } = await import(pathToFileURL(join(outDir, 'soak.js')).href);
  const held = await soak(root, Number(process.argv[soaks + 1] ?? 24), say);
  if (held === null) say('LEFT OUT: the soak: no Chromium was found on this machine');
  process.exit(held === null || saidFlat(held, say) ? 0 : 1);
}
const kills = process.argv.indexOf('--kills');
if (kills >= 0) {
  const { killTest } = await import(pathToFileURL(join(outDir, 'kills.js')).href);
  process.exit((await killTest(Number(process.argv[kills + 1] ?? 200), SEED, say)) ? 0 : 1);
}
say(`${cpus()[0]?.model ?? 'unknown processor'}, ${availableParallelism()} threads, Node ${process.version}`);
if (loadavg()[0] > availableParallelism() / 2)
  say(
    `The machine is busy (load ${loadavg()[0].toFixed(1)}): times by the clock say little, and ratios of the processor's time more.`,
  );
if (process.argv.includes('--page')) {
  const answer = await benchPage();
  if (json) console.log(JSON.stringify(answer, null, 2));
  process.exit(0);
}
const c = buildC();
const { setup } = await measure.setupOf('drift', SEED);
const predict = benchPredict(measure, setup.scenario);

const pools = new Map([1, 2].map((workers) => [String(workers), measure.poolOf(workers)]));
const found = [];
for (const policy of ['drift', 'hold']) found.push({ policy, ...(await benchEnsemble(measure, policy, c, pools)) });
for (const pool of pools.values()) pool.terminate();

// The two ways of steering together: the slower ratio and the worse error count.
const worstBy = (value) => found.reduce((a, b) => (value(b) > value(a) ? b : a));
const counted = worstBy(({ us, cpu }) => (c === null ? us['1'] : cpu['1'] / cpu.c));
const answer = {
  predict,
  ensemble: {
    members,
    perMember_us: { 1: counted.us['1'], 2: counted.us['2'] },
    cPerMember_us: counted.us.c ?? null,
    cpuPerMember_us: { 1: counted.cpu['1'], 2: counted.cpu['2'] },
    cCpuPerMember_us: counted.cpu.c ?? null,
    landingError_m: Math.max(...found.map(({ miss }) => miss.worst_m)),
    cLandingError_m: c === null ? null : Math.max(...found.map(({ cMiss }) => cMiss.worst_m)),
  },
  ...(await benchPage()),
};
Object.assign(answer, await benchPromises(await import(pathToFileURL(join(outDir, 'promises.js')).href)));
if (json) console.log(JSON.stringify(answer, null, 2));
