// What a reader of reports knows at a moment of a mission, where no window and no person is beside it.
import { declination_deg } from '../earth/declination.ts';
import { reportContext, type ReportContext } from '../formats/messages/report.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import { offset_s } from '../words/times.ts';
import type { Situation } from './situation.ts';

/** `nextId`: the id that the report will have. */
export function hearingContext({ mission, state, at_s, world }: Situation, nextId: string): ReportContext {
  const { position, elevation_m, timeZone } = mission.site;
  const turned = declination_deg(position, elevation_m, at_s);
  return reportContext(mission, state, {
    now_s: at_s,
    declination_deg: turned.kind === 'known' ? turned.deg : null,
    nextId,
    localOffset_s: offset_s(at_s, timeZone) ?? 0,
    groundAt: ([lon, lat]) => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
  });
}
