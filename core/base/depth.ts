// How deep lists and objects are nested: unlimited nesting overflows the stack of code that walks it.

/** Whether something lies more than `levels` lists or objects deep; looked through level by level, not by recursion. */
export function isDeeper(value: unknown, levels: number): boolean {
  let here: readonly unknown[] = [value];
  for (let level = 0; level <= levels; level++) {
    here = here.flatMap((one): unknown[] => (typeof one === 'object' && one !== null ? Object.values(one) : []));
    if (here.length === 0) return false;
  }
  return true;
}
