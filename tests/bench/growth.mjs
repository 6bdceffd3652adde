// npm run bench -- --growth [NAME]: each size doubled in a process of its own; time, memory at the peak, and the power
// of the size that the time grows with (1: linear). Wanted times are those of two cores with nothing else on.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { loadavg } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const [, self, , name, size] = process.argv;
const outDir = process.env.PLUMBLINE_GROWTH ?? '';

/** One size, in this process. */
async function one() {
  const { GROWTH } = await import(pathToFileURL(join(outDir, 'growth.js')).href);
  const grown = await GROWTH[name].run(Number(size));
  // The peak since this program began (proc(5), VmHWM); what the system counts otherwise begins with its parent's.
  const status = readFileSync('/proc/self/status', 'utf8');
  const peak_mb = Number(/VmHWM:\s*(\d+)/.exec(status)?.[1] ?? NaN) / 1000;
  process.stdout.write(JSON.stringify({ ...grown, peak_mb }));
}

/** All of them, or the one that is named. */
export async function growth(folder, named, say) {
  const { GROWTH } = await import(pathToFileURL(join(folder, 'growth.js')).href);
  say(`load ${loadavg()[0].toFixed(1)} at the start`);
  for (const [kind, { sizes, of, wanted_ms }] of Object.entries(GROWTH)) {
    if (named !== undefined && named !== kind) continue;
    let before = null;
    for (const count of sizes) {
      const ran = spawnSync(process.execPath, [fileURLToPath(import.meta.url), 'one', kind, String(count)], {
        env: { ...process.env, PLUMBLINE_GROWTH: folder },
        encoding: 'utf8',
      });
      if (ran.status !== 0) {
        say(`${kind} ${count}: ${ran.stderr.trim().split('\n').slice(-3).join(' ')}`);
        break;
      }
      const { work_ms, further_ms, peak_mb } = JSON.parse(ran.stdout);
      const power = before === null ? '' : `, grows with the power ${Math.log2(work_ms / before).toFixed(2)}`;
      const further = further_ms === undefined ? '' : `, a further one ${further_ms.toFixed(1)} ms`;
      const wanted = count === sizes.at(-1) ? ` (wanted ${wanted_ms})` : '';
      say(`${kind} ${count} ${of}: ${work_ms.toFixed(0)} ms${wanted}${further}, ${peak_mb.toFixed(0)} MB${power}`);
      before = work_ms;
    }
  }
}

if (process.argv[2] === 'one' && fileURLToPath(import.meta.url) === self) await one();
