// What a window gets back of a log, and what it gives back: the events behind the last one that it heard of, and all
// that it has where another program took events away.
import { basename, dirname, join } from 'node:path';
import { mkdir } from 'node:fs/promises';
import { isoOf } from '../../core/base/plainNumbers.ts';
import { logLine, linkOf } from '../../core/log/chain.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { eventOfLine } from '../../core/log/read.ts';
import { writeNew } from './atomic.ts';
import { logPathOf, readLog } from './log.ts';
import { isMissing } from './trouble.ts';

/** The events of a mission's log with a higher number, in its order. */
export async function eventsSince(missionPath: string, seq: number): Promise<readonly LogEvent[]> {
  const text = await readLog(logPathOf(missionPath));
  // A line without its end is still being written: it is told when it is whole.
  return text
    .split('\n')
    .slice(0, -1)
    .flatMap((line) => {
      const event = eventOfLine(line);
      return event !== null && event.seq > seq ? [event] : [];
    });
}

/** Writes events as a log of their own under a new name; answers its path. */
export async function keepLog(
  missionPath: string,
  events: readonly LogEvent[],
  { elsewhere, now }: { readonly elsewhere: string; readonly now: Date },
): Promise<string> {
  let link = '';
  const lines = events.map((event) => {
    const line = logLine(event, link);
    link = linkOf(line);
    return `${line}\n`;
  });
  const stamp = isoOf(Math.floor(now.getTime() / 1000)).replaceAll(':', '');
  const name = basename(logPathOf(missionPath)).replace(/\.log\.jsonl$/, `.kept-${stamp}.log.jsonl`);
  const data = Buffer.from(lines.join(''), 'utf8');
  try {
    return await writeNew(join(dirname(missionPath), name), data);
  } catch (error) {
    if (!isMissing(error)) throw error;
    await mkdir(elsewhere, { recursive: true });
    return writeNew(join(elsewhere, name), data);
  }
}
