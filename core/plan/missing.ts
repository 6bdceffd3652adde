// What a plan still lacks for a verdict, a brief and a rescue, in the order in which it matters.
import type { Mission } from './schema.ts';

export type MissingPart = 'winds' | 'zones' | 'crews' | 'terrain' | 'hazards';

export interface Missing {
  readonly part: MissingPart;
  readonly words: string;
}

/** Each part that is not there, with what follows from it. */
export function missingParts(mission: Mission): Missing[] {
  const { winds, landingZones, teams, site, hazards } = mission;
  const none = (list: readonly unknown[] | undefined): boolean => (list ?? []).length === 0;
  const all: readonly (Missing & { readonly missing: boolean })[] = [
    {
      part: 'winds',
      missing: none(winds?.forecast) && none(winds?.files),
      words: 'No winds: the air is taken as calm, and nothing that follows from it can be trusted.',
    },
    {
      part: 'zones',
      missing: none(landingZones),
      words: 'No landing zone: there is no exit window, and no chance can be given.',
    },
    { part: 'crews', missing: none(teams), words: 'No crew: nobody goes to the landing.' },
    {
      part: 'terrain',
      missing: site.terrain === undefined,
      words: 'No terrain: the ground is taken as level at the height of the site.',
    },
    {
      part: 'hazards',
      missing: none(hazards),
      words: 'No hazards: wires, water, roads and buildings are not kept clear of.',
    },
  ];
  return all.flatMap(({ part, words, missing }) => (missing ? [{ part, words }] : []));
}
