// The brief of a mission at a moment: one structure from which the sheet, each crew's page, the radio brief and the map
// on paper are written, so that all of them say the same. Pure: the same source gives the same lines. Advisory only.
import type { LonLat } from '../base/units.ts';
import { releaseTime_s } from '../mission/cases.ts';
import { acknowledged, holdsOf, holdsWords } from './changes.ts';
import { clockworkOf } from './calls.ts';
import { bothClocks, dateWords, siteClock, zoneWords } from './clock.ts';
import { crewBrief } from './crewPage.ts';
import { mapOf } from './mapData.ts';
import type { Brief, BriefHead } from './model.ts';
import { radioBrief } from './radio.ts';
import {
  callsSection,
  casesSection,
  cautionsSection,
  crewTable,
  gondolaSection,
  hazardsSection,
  landingSection,
  rulesSection,
  sunSection,
  timesSection,
  verdictOf,
  windSection,
  zonesSection,
  type Facts,
} from './sheet.ts';
import { plannedCase, type BriefSource } from './source.ts';
import { versionOf } from './version.ts';

export function briefOf(source: BriefSource): Brief {
  const { situation, log } = source;
  const { mission, state, at_s } = situation;
  const clock = siteClock(mission.site.timeZone);
  const map = mapOf(source);
  const outlook = plannedCase(source.cases)?.outlook ?? source.advised.outlook;
  const gondola = map.others.find((one) => one.name === 'gondola');
  const released = source.others.some((one) => one.name === 'gondola' && one.kind === 'falls');
  const landing: LonLat = map.center;
  const facts: Facts = {
    source,
    clock,
    times: clockworkOf(
      source.advised.planned,
      outlook,
      released ? { release_s: releaseTime_s(mission, state.marks), touchdown_s: gondola?.touchdown_s ?? null } : null,
    ),
    landing,
    hazards: map.hazards,
  };
  const version = versionOf(mission, log, state);
  const zone = zoneWords(clock, at_s);
  const head: BriefHead = {
    mission: mission.name,
    site: mission.site.name,
    at: `${dateWords(at_s)}, ${bothClocks(clock, at_s)}${zone === null ? '' : `, ${zone}`}`,
    version,
    word: source.advised.advice.word,
    verdict: verdictOf(facts),
  };
  const sections = [
    timesSection(facts),
    landingSection(facts),
    windSection(facts),
    crewTable(facts),
    rulesSection(facts),
    zonesSection(facts),
    casesSection(facts),
    hazardsSection(facts),
    gondolaSection(facts),
    sunSection(facts),
    callsSection(facts),
    cautionsSection(facts),
  ].filter((section) => section.items.length > 0);
  const names = source.crews.map((one) => one.crew.name);
  const held = acknowledged(log, at_s, names);
  return {
    head,
    sections,
    crews: source.crews.map((one) => crewBrief(facts, one)),
    map,
    radio: radioBrief(facts, version),
    held: names.map((name) => holdsWords(name, holdsOf(held.get(name), version.number), version.number)),
  };
}
