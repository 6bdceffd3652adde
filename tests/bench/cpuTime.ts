// Time that this thread has worked, for the bench: the clock on the wall counts what else the machine does as well.
import { readFileSync } from 'node:fs';

/** Milliseconds of this thread on a processor, where Linux tells them (`proc(5)`, schedstat); elsewhere the clock's. */
export function worked_ms(): number {
  try {
    return Number(readFileSync('/proc/thread-self/schedstat', 'utf8').split(' ')[0]) / 1e6;
  } catch {
    return performance.now();
  }
}
