// What this computer knows of its own clock.
import { stat } from 'node:fs/promises';
import { isoOf } from '../core/base/plainNumbers.ts';
import type { HostClock } from './contract.ts';

/** Files that a service touches whenever the network has set the clock (systemd-timesyncd, man page, FILES). */
const TOUCHED = ['/run/systemd/timesync/synchronized', '/var/lib/systemd/timesync/clock'];

export async function hostClock(now: Date, touched: readonly string[] = TOUCHED): Promise<HostClock> {
  const times = await Promise.all(
    touched.map((path) =>
      stat(path).then(
        ({ mtimeMs }) => mtimeMs,
        () => null,
      ),
    ),
  );
  // A clock that was set in the future was not set by this one.
  const set = times.filter((time) => time !== null && time <= now.getTime()).map(Number);
  // `+ 0`: an offset of none has no sign.
  const offset_min = -now.getTimezoneOffset() + 0;
  return { offset_min, setAt: set.length === 0 ? null : isoOf(Math.floor(Math.max(...set) / 1000)) };
}
