// What a person does about crews and brief: a proposed place accepted (undoable), a crew tried elsewhere, contact lost
// or there again and a brief acknowledged (each an event of the log, one deliberate key, not undone), files written.
import type { CrewPlace } from '../../../core/recovery/crewPlace.ts';
import { acknowledgementItem } from '../../../core/brief/changes.ts';
import { inverse } from '../../../core/earth/geodesic.ts';
import { logTable } from '../../../core/debrief/logTable.ts';
import { debriefHtml } from '../../../core/debrief/pages.ts';
import type { BriefFile, BriefFileAnswer } from '../../../core/work/recoveryWork.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { append, edit, endEdit, say } from './actions.ts';
import { faceAsData } from './briefFace.ts';
import { CONTACT_AGAIN, CONTACT_LOST } from '../derived/contact.ts';
import { moveTeam, setStandbys } from '../stored/edits.ts';
import type { Store } from '../derived/store.ts';

/** A proposal this near to where the plan has the crew is the plan's own place. */
const SAME_M = 30;

/** Proposed places that are not in the plan yet. */
export function openProposals(store: Store): readonly CrewPlace[] {
  const teams = store.mission.value?.teams ?? [];
  return (store.recovery.answer.value?.placement?.crews ?? []).filter(({ kind, crew, position }) => {
    const standby = teams.find((team) => team.name === crew.name)?.standby;
    return kind === 'placed' && (standby === undefined || inverse(standby, position).distance_m > SAME_M);
  });
}

/** Writes proposed places into the plan as standbys: one step of undo. */
export function acceptPlaces(store: Store, places: readonly CrewPlace[]): void {
  const names = places.map((one) => one.crew.name);
  if (names.length === 0) {
    const waits = store.recovery.answer.peek() === null;
    say(
      store,
      waits
        ? 'The crews’ places are still being worked out.'
        : 'There is no proposed place that the plan does not have.',
      waits,
    );
    return;
  }
  const standbys = places.map(({ crew, position }) => ({ crew: crew.name, position }));
  const done = edit(store, `standby of ${names.join(', ')} accepted`, (plan) => setStandbys(plan, standbys));
  endEdit(store);
  say(
    store,
    done.ok ? `${names.join(', ')}: standby as proposed. Tell the crews; Ctrl+Z takes it back.` : done.why,
    !done.ok,
  );
}

/** A drag or a typed place: the plan changes, and the worker is asked for the crew's times from there. */
export function placeCrew(store: Store, name: string, position: LonLat, final: boolean): void {
  edit(store, `${name} moved`, (plan) => moveTeam(plan, name, position), `drag of ${name}`);
  store.recovery.trying.value = { crew: name, position };
  if (final) endEdit(store);
}

const by = (store: Store): { readonly by?: string } => {
  const name = store.view.operator.peek();
  return name === '' ? {} : { by: name };
};

export async function logContact(store: Store, lost: boolean): Promise<void> {
  const done = await append(store, { kind: 'mark', mark: lost ? CONTACT_LOST : CONTACT_AGAIN, ...by(store) });
  if (done) store.moment_ms.value = null;
}

/** A crew has read back a version of the brief. */
export async function acknowledge(
  store: Store,
  { crew, version, identity }: { readonly crew: string; readonly version: number; readonly identity: string },
): Promise<void> {
  const done = await append(store, { kind: 'check', item: acknowledgementItem(version, identity), by: crew });
  if (done) say(store, `Logged: ${crew} has acknowledged brief v${version}, page ${identity}.`);
}

export async function writeFile(
  store: Store,
  wanted: BriefFile,
  name: string,
  printed: boolean = false,
): Promise<void> {
  const ask = store.recovery.files.peek();
  if (ask !== null) await write(store, name, () => ask(wanted), printed);
}

/** The debrief of the mission's log, as a page. */
export async function writeDebrief(store: Store, printed: boolean): Promise<void> {
  const ask = store.recovery.debrief.peek();
  if (ask === null) return;
  const page = async (): Promise<BriefFileAnswer> => {
    const debrief = await ask();
    if (debrief === null) throw new Error('the log has no touchdown with its place');
    return { text: debriefHtml(debrief, await faceAsData()), problems: [] };
  };
  await write(store, printed ? 'debrief.pdf' : 'debrief.html', page, printed);
}

/** The log as a table for a spreadsheet. */
export const writeLogTable = (store: Store): Promise<void> =>
  write(store, 'log.csv', async () => ({ text: logTable(store.log.peek()), problems: [] }), false);

/** Makes a file, writes it beside the mission, and says where, or why not. */
async function write(
  store: Store,
  name: string,
  make: () => Promise<BriefFileAnswer>,
  printed: boolean,
): Promise<void> {
  const path = store.file.peek()?.path;
  if (path === undefined) return;
  store.recovery.writing.value = `Writing ${name}…`;
  try {
    const { text, problems } = await make();
    const outcome = printed
      ? await store.desk.call('export/pdf', path, name, text)
      : await store.desk.call('export/write', path, name, new TextEncoder().encode(text));
    const [first] = problems;
    if (!outcome.ok) say(store, `${name} was not written: ${outcome.why}`, true);
    else say(store, `Written: ${outcome.value.path}.${first === undefined ? '' : ` ${first}`}`, first !== undefined);
  } catch (error) {
    say(store, `${name} was not written: ${error instanceof Error ? error.message : String(error)}`, true);
  } finally {
    store.recovery.writing.value = null;
  }
}
