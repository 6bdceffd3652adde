// A plan saved into its file: whole or not at all, and what somebody else wrote there meanwhile is kept beside it, with
// a word about what differs.
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import type { Saved } from '../contract.ts';
import { writeAtomic, writeNew } from './atomic.ts';
import { digestOf, type OpenMission } from './missions.ts';
import { isMissing } from './trouble.ts';

/** `basedOn`: the digest of the plan that the window last read or wrote; null: none yet. */
export async function savePlan(
  mission: OpenMission,
  planText: string,
  basedOn: string | null,
  now: Date,
): Promise<Saved> {
  const kept = await keepForeign(mission, planText, basedOn, now);
  await writeAtomic(mission.path, planText);
  mission.digest = digestOf(planText);
  const saved = { path: mission.path, savedAt: now.toISOString(), digest: mission.digest };
  return kept === null ? saved : { ...saved, note: kept };
}

/** A plan that another window or program wrote since is put beside the mission; answers the sentence about it. */
async function keepForeign(
  mission: OpenMission,
  planText: string,
  basedOn: string | null,
  now: Date,
): Promise<string | null> {
  const there = await readFile(mission.path).catch((error: unknown) => {
    if (isMissing(error)) return null;
    throw error;
  });
  if (there === null || [basedOn, digestOf(planText)].includes(digestOf(there))) return null;
  const stamp = now.toISOString().slice(0, 19).replaceAll(':', '');
  const path = await writeNew(mission.path.replace(/(\.mission)?\.json$/i, `.kept-${stamp}Z.json`), there);
  const keys = differing(there.toString('utf8'), planText);
  const what = keys === null ? '' : ` It differs from what is saved now in ${keys.join(', ')}.`;
  return `Another window or program had changed the file; its version is kept as ${basename(path)}.${what}`;
}

/** The keys of the plan in which two texts differ; null where one of them cannot be read. */
function differing(a: string, b: string): readonly string[] | null {
  const [one, other] = [a, b].map(parsed);
  if (one === null || other === null || one === undefined || other === undefined) return null;
  const keys = [...new Set([...Object.keys(one), ...Object.keys(other)])];
  const found = keys.filter((key) => JSON.stringify(one[key]) !== JSON.stringify(other[key]));
  return found.length === 0 ? null : found;
}

function parsed(text: string): Readonly<Record<string, unknown>> | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null && !Array.isArray(value) ? { ...value } : null;
  } catch {
    return null;
  }
}
