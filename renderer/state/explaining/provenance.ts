// Where each shown number comes from: a sentence on how it is computed, and the inputs that it depends on, each with
// the field it is typed in.
import { never } from '../../../core/base/problem.ts';
import type { Canopy, Mission } from '../../../core/plan/schema.ts';
import { flownSetting } from '../../../core/descent/body.ts';
import type { WindField } from '../../../core/winds/field.ts';
import { formatDegrees } from '../../../core/words/positions.ts';
import type { Provenance } from '../stored/tellers.ts';
import { age, clock } from '../../../core/words/times.ts';
import { height, lengthUp } from '../../../core/words/lengths.ts';
import { number, quantity, type Units } from '../../../core/words/numbers.ts';
import { sink as sinkWords } from '../../../core/words/winds.ts';

export type NumberKey =
  'landing' | 'touchdown' | 'drift' | 'surface' | 'opening' | 'shock' | 'canopy' | 'peak' | 'stages';

export type Input = Provenance['inputs'][number];
/** What is told of a number under its title. */
export type Told = Pick<Provenance, 'sentence' | 'inputs'>;

export const noValue = (why: string, inputs: readonly Input[] = []): Told => ({
  sentence: `There is no value: ${why}.`,
  inputs,
});

export const mslWords = (height_m: number, units: Units): string => height(height_m, { ...units, height: 'MSL' }, 0);

const titles: Readonly<Record<NumberKey, readonly [title: string, sentence: string]>> = {
  landing: [
    'Landing',
    'Where the integrated path meets the ground: exit, every stage, and the wind of every height it passes.',
  ],
  touchdown: [
    'Touchdown',
    'The exit time plus the time of the fall through each stage and of the flight under canopy.',
  ],
  drift: [
    'Drift',
    'The geodesic on WGS 84 from the exit to the landing; magnetic by the World Magnetic Model 2025 at the site.',
  ],
  surface: [
    'At touchdown',
    'Ground speed is the canopy’s airspeed and the wind near the ground together; sink is the setting’s, for ' +
      'this mass and air.',
  ],
  opening: ['Opening', 'Where the last stage’s trigger is met: the canopy begins to fill there.'],
  shock: [
    'Opening shock',
    'The largest deceleration while the drag area grows from the body’s to the canopy’s while it fills, in g ' +
      'of 9.80665 m/s².',
  ],
  canopy: ['Under canopy', 'From opening to touchdown at the setting’s sink, which grows with height and mass.'],
  peak: ['Peak speed', 'The fastest moment relative to the ground; the Mach number is that through the air.'],
  stages: [
    'Stages',
    'Each ends where its trigger is met: time since exit, height, or Mach number falling below a value.',
  ],
};

/** What the panel shows beside a number when it is asked where it came from. */
export function provenanceOf(key: NumberKey, mission: Mission, field: WindField | null, units: Units): Provenance {
  const [title, sentence] = titles[key];
  const inputs = inputsOf(key, mission, units);
  return { key, title, sentence, inputs: field === null ? inputs : [...inputs, windsInput(mission, field)] };
}

const fillWords = ({ fill_s, fillDistance_m }: Canopy, units: Units): string =>
  fillDistance_m === undefined ? quantity(fill_s ?? 0, 's', 1) : `over ${lengthUp(fillDistance_m, units)}`;

function inputsOf(key: NumberKey, mission: Mission, units: Units): Input[] {
  const { exit, jumper, site } = mission;
  const position = { label: 'exit at', value: formatDegrees(exit.position, 4), field: 'exit.position' };
  const from = { label: 'from', value: height(exit.altitude_m, units, site.elevation_m), field: 'exit.height' };
  const when = { label: 'exit time', value: clock(Date.parse(exit.time) / 1000, units), field: 'exit.time' };
  const mass = { label: 'mass', value: quantity(jumper.mass_kg, 'kg'), field: 'body.mass' };
  const last = jumper.stages.at(-1);
  const drag = {
    label: `drag area, ${last?.name ?? 'last stage'}`,
    value: quantity(last?.dragArea_m2 ?? NaN, 'm²', 2),
    field: 'body.drag',
  };
  const ends = { label: 'ends', value: triggerWords(last?.until, units), field: 'body.value' };
  const canopy = jumper.canopy;
  if (canopy === undefined) return [position, from, when, mass, drag];
  const setting = flownSetting(canopy);
  const flown = { label: 'setting', value: setting.name, field: 'canopy.setting' };
  const sink = { label: 'sink', value: sinkWords(setting.sink_mps, units), field: 'canopy.sink' };
  const steering = { label: 'steering', value: canopy.steering?.policy ?? 'drift', field: 'canopy.policy' };
  const fill = { label: 'filling', value: fillWords(canopy, units), field: 'canopy.fill' };
  switch (key) {
    case 'landing':
    case 'drift':
      return [position, from, mass, ends, flown, steering];
    case 'touchdown':
      return [when, from, mass, drag, ends, sink];
    case 'surface':
      return [flown, sink, steering, mass];
    case 'opening':
      return [ends, from, mass, drag];
    case 'shock':
      return [fill, mass, sink, drag];
    case 'canopy':
      return [ends, sink, mass];
    case 'peak':
      return [from, mass, drag];
    case 'stages':
      return [from, mass, drag, ends];
    default:
      return never(key);
  }
}

export function triggerWords(until: Mission['jumper']['stages'][number]['until'], units: Units): string {
  if (until === undefined) return 'at the ground';
  if ('agl_m' in until) return height(until.agl_m, { ...units, height: 'AGL' }, 0);
  if ('msl_m' in until) return height(until.msl_m, { ...units, height: 'MSL' }, 0);
  if ('after_s' in until) return `${quantity(until.after_s, 's')} after exit`;
  return `below Mach ${number(until.machBelow, 2)}`;
}

/** Of how many moments the winds are, and how near to the exit. */
export function windsInput(mission: Mission, field: WindField): Input {
  const exit_s = Date.parse(mission.exit.time) / 1000;
  if (field.columns.every((column) => column.source === 'no wind given'))
    return { label: 'winds', value: 'none given: calm', field: 'winds' };
  const times = Array.from(field.times_s);
  const nearest = times.reduce(
    (best, t) => (Math.abs(t - exit_s) < Math.abs(best - exit_s) ? t : best),
    times[0] ?? NaN,
  );
  const off_s = exit_s - nearest;
  const count = times.length === 1 ? 'one time' : `${times.length} times`;
  const value = `${count}, nearest ${clock(nearest)} (${age(Math.abs(off_s))} ${off_s < 0 ? 'after' : 'before'} exit)`;
  return { label: 'winds', value: Number.isFinite(nearest) ? value : 'none given', field: 'winds' };
}
