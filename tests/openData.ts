// Where the outside data lies that the checks compare against: `../shared` beside the project's root, never copied into
// it. Without it (a clone elsewhere) those checks are skipped, loudly; with PLUMBLINE_REQUIRE_ALL=1 (the CI) a skip is
// a failure.
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, it } from 'vitest';

export const projectRoot = dirname(dirname(fileURLToPath(import.meta.url)));
const shared = join(dirname(projectRoot), 'shared');

/** True where nothing may be left out: every skip helper then fails instead. */
export const requireAll = process.env['PLUMBLINE_REQUIRE_ALL'] === '1';

/** Says that something was left out, in one line. Under `npm test` the summary at the end says it instead, once. */
export function leftOut(line: string): void {
  if (process.env['PLUMBLINE_SUMMARY'] !== '1') console.warn(`LEFT OUT: ${line}`);
}

function found(part: string, path: string): string | null {
  const full = join(shared, part, path);
  if (existsSync(full)) return full;
  if (requireAll) throw new Error(`PLUMBLINE_REQUIRE_ALL is set and ${full} is missing: nothing may be left out here`);
  return null;
}

/**
 * The whole path of a file or folder below `../shared/open-data`; null where it is missing (throws under
 * PLUMBLINE_REQUIRE_ALL).
 */
export function openData(path: string): string | null {
  return found('open-data', path);
}

/** The same for the printed tables below `../shared/reference`. */
export function reference(path: string): string | null {
  return found('reference', path);
}

/**
 * A `describe` that needs the outside data: `fn` gets the path of `../shared`. Where that folder is missing, the block
 * is skipped with one line that says so; `fn` is then not called at all, so it may read files while it collects.
 */
export function describeOpenData(
  name: string,
  fn: (paths: { readonly openData: string; readonly reference: string }) => void,
): void {
  const data = openData('.');
  const tables = reference('.');
  if (data !== null && tables !== null) {
    describe(name, () => fn({ openData: data, reference: tables }));
    return;
  }
  leftOut(`"${name}" needs ${shared}, which is not here`);
  it.skip(`${name} (left out: no ../shared beside the project)`, () => undefined);
}
