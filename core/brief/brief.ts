// The brief of a mission at a moment: one structure from which the sheet, each crew's page, the radio brief and the map
// on paper are written, so that all of them say the same. Pure: the same source gives the same lines. Advisory only.
import type { LonLat } from '../base/units.ts';
import { releaseTime_s } from '../mission/cases.ts';
import { acknowledged, holdsOf, holdsWords } from './changes.ts';
import { clockworkOf } from './calls.ts';
import { bothClocks, date, zoneName } from '../words/times.ts';
import { crewBrief } from './crewPage.ts';
import { mapOf } from './mapData.ts';
import { listSections } from './lists.ts';
import { countdownSection, homeSection, lostSection, stopSection } from './lead.ts';
import type { Brief, BriefHead, BriefSection } from './model.ts';
import { radioBrief } from './radio.ts';
import {
  callsSection,
  casesSection,
  cautionsSection,
  crewTable,
  edgesSection,
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
import { identityOf, versionOf } from './version.ts';

export function briefOf(source: BriefSource): Brief {
  const { situation, log } = source;
  const { mission, state, at_s } = situation;
  const { timeZone } = mission.site;
  const map = mapOf(source);
  const outlook = plannedCase(source.cases)?.outlook ?? source.advised.outlook;
  const gondola = map.others.find((one) => one.name === 'gondola');
  const released = source.others.some((one) => one.name === 'gondola' && one.kind === 'falls');
  const landing: LonLat = map.center;
  const facts: Facts = {
    source,
    timeZone,
    times: clockworkOf(
      source.advised.planned,
      outlook,
      state.marks.has('exit'),
      released ? { release_s: releaseTime_s(mission, state.marks), touchdown_s: gondola?.touchdown_s ?? null } : null,
    ),
    landing,
    hazards: map.hazards,
  };
  const version = versionOf(mission, log, state);
  const zone = zoneName(at_s, timeZone);
  const head: BriefHead = {
    mission: mission.name,
    site: mission.site.name,
    at: `${date(at_s)}, ${bothClocks(at_s, timeZone)}${zone === null ? '' : `, ${zone}`}`,
    version,
    word: source.advised.advice.word,
    verdict: verdictOf(facts),
  };
  const sections = sectionsOf(facts);
  const names = source.crews.map((one) => one.crew.name);
  const held = acknowledged(log, at_s, names);
  const crews = source.crews.map((one) => crewBrief(facts, one));
  const radio = radioBrief(facts, version);
  return {
    head,
    // The time of making is not content: the same brief a minute later has the same version.
    identity: identityOf(JSON.stringify([head.word, head.verdict, version.plan, sections, crews, map, radio])),
    sections,
    crews,
    map,
    radio,
    held: crews.map(({ crew, identity }) =>
      holdsWords(crew, holdsOf(held.get(crew), version.number, identity), version.number),
    ),
  };
}

/** The sheet for all crews, without the sections that have nothing to say. */
function sectionsOf(facts: Facts): BriefSection[] {
  return [
    timesSection(facts),
    landingSection(facts),
    windSection(facts),
    crewTable(facts),
    rulesSection(facts),
    edgesSection(facts),
    zonesSection(facts),
    casesSection(facts),
    hazardsSection(facts),
    gondolaSection(facts),
    sunSection(facts),
    callsSection(facts),
    cautionsSection(facts),
    countdownSection(facts),
    stopSection(facts),
    lostSection(facts),
    homeSection(facts),
    ...listSections(facts),
  ].filter((section) => section.items.length > 0);
}
