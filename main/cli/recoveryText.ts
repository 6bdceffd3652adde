// The recovery as text: what the cases come to, what else comes down, who waits where and who is there when, approach,
// smoke, search.
import { NEARLY_ALL } from '../../core/words/numbers.ts';
import type { CrewPlace } from '../../core/recovery/crewPlace.ts';
import type { Recovery } from '../../core/recovery/recovery.ts';
import type { BoardRow } from '../../core/recovery/crewBoard.ts';
import { formatPosition, type CoordinateFormat } from '../../core/words/positions.ts';
import { clock, roughDuration } from '../../core/words/times.ts';
import { distance, spreadSize } from '../../core/words/lengths.ts';

const until = (s: number): string => (s < Infinity ? roughDuration(s) : 'never');

function casesText({ table, basis }: Recovery): string[] {
  return [
    'Cases (mark, probability, landing, 90 % size, first medical crew from where the crews are)',
    `  ${basis}`,
    ...table.map((row) =>
      row.kind === 'lands' ? `  ${row.sentence}` : `  ${row.case.mark.letter} ${row.case.name}: ${row.why}.`,
    ),
  ];
}

function othersText({ others, separations }: Recovery): string[] {
  const said = ['Gondola and envelope'];
  for (const one of others) {
    const landing = one.kind === 'falls' ? one.outlook.prediction.landing : null;
    if (one.kind === 'none') said.push(`  ${one.name}: none; ${one.why}`);
    else if (landing === null) said.push(`  ${one.name}: does not reach the ground within the time flown`);
    else {
      const size = one.statistics === null ? '' : `, ${spreadSize(90, one.statistics.ellipses['90'])}`;
      const down_s = one.outlook.scenario.exit.time_s + landing.time_s;
      const place = formatPosition(landing.position, 'degrees-minutes');
      said.push(`  ${one.name}: released ${clock(one.release.time_s)}, down ${clock(down_s)} at ${place}${size}`);
    }
  }
  for (const { name, separation } of separations) {
    const { closest, landings } = separation;
    if (closest !== null)
      said.push(`  ${name}: nearest in the air ${distance(closest.distance_m)} at ${clock(closest.time_s)}`);
    if (landings !== null) said.push(`  ${name}: lands ${distance(landings.distance_m)} from the jumper`);
  }
  return said;
}

function crewRow({ crew, asPlanned, allCases, fuel, placedBy, refusal }: BoardRow): string {
  const left =
    fuel.kind === 'enough'
      ? `, fuel for ${roughDuration(fuel.onScene_s)} on scene`
      : fuel.kind === 'short'
        ? `, ${roughDuration(fuel.by_s)} short of fuel`
        : '';
  const mind = refusal === null ? '' : `; mind that ${refusal.why}`;
  const planned = `${until(asPlanned.p50_s)} to the landing as planned (${NEARLY_ALL} within ${until(asPlanned.p95_s)})`;
  const all = `all cases ${until(allCases.p50_s)} (${until(allCases.p95_s)})`;
  return `  ${crew.name} (${crew.kind}, ${placedBy}): ${planned}, ${all}${left}${mind}`;
}

function placeRow({ crew, position, reason, ifRefused }: CrewPlace): string {
  const format: CoordinateFormat = crew.team.coordinates ?? 'degrees-minutes';
  return `  ${formatPosition(position, format)}: ${reason}${ifRefused === null ? '' : ` ${ifRefused.sentence}`}`;
}

export function recoveryText(recovery: Recovery): string[] {
  const { board, placement, routes, approaches, smoke, search, problems, warnings } = recovery;
  const said = [...casesText(recovery), '', ...othersText(recovery), '', 'Crews as they are'];
  said.push(...(board === null || board.rows.length === 0 ? ['  none'] : board.rows.map(crewRow)));
  if (placement !== null) {
    said.push('', 'Standby advised', ...placement.crews.map(placeRow));
    for (const { crew, to, route } of routes)
      said.push(`  ${crew} to the ${to}: ${route.kind === 'route' ? route.sentence : `no way; ${route.why}`}`);
    said.push(...placement.answers.map((answer) => `  ${answer}`));
  }
  for (const approach of approaches)
    said.push('', `Approach of ${approach.crew.name}`, ...approach.sentences.map((one) => `  ${one}`));
  if (smoke !== null) said.push('', 'Smoke', `  ${smoke.kind === 'place' ? smoke.sentence : smoke.why}`);
  said.push('', 'If contact is lost', ...search.sentences.map((one) => `  ${one}`));
  if (warnings.length + problems.length > 0) said.push('');
  said.push(...warnings.map((one) => `Warning: ${one}`), ...problems.map((one) => `Note: ${one}`));
  return said;
}
