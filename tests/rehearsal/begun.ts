// A rehearsal as it begins: what is hidden, what sends, and the lead without a person.
import { Lead, type LeadName } from '../../core/rehearsal/lead.ts';
import { Simulator } from '../../core/rehearsal/simulator.ts';
import { hiddenTruth, situationBefore } from '../../core/rehearsal/truth.ts';
import { bundledRehearsal } from '../../main/rehearsals.ts';
import { loadDemo, type DEMOS } from '../demo.ts';

interface Begins {
  readonly scenario: string;
  /** Shortened: so long before the planned exit. */
  readonly begins_s: number;
  readonly lead: LeadName;
  readonly members: number;
  readonly seed: number;
}

export async function begun(demo: (typeof DEMOS)[number], { scenario: name, begins_s, lead: who, ...options }: Begins) {
  const loaded = await loadDemo(demo);
  const found = bundledRehearsal(name, options.seed);
  if (found === null) throw new Error('the scenario is there');
  const scenario = { ...found, begins_s };
  const begins = situationBefore(loaded, scenario);
  const truth = hiddenTruth(begins, scenario, options.seed);
  if (typeof truth === 'string') throw new Error(truth);
  const simulator = new Simulator(begins, scenario, truth, options.seed);
  return { loaded, scenario, truth, simulator, lead: new Lead(loaded, begins, who, options) };
}
