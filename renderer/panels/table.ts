// The panels of the desk, in their order. A new panel is a line here: its name is its tab, its key is Alt and its
// place (`panelKeys`).
import type { ComponentType } from 'preact';
import { AlertsPanel } from './Alerts.tsx';
import { BriefPanel } from './Brief.tsx';
import { CallsPanel } from './Calls.tsx';
import { CasesPanel } from './Cases.tsx';
import { CrewsPanel } from './Crews.tsx';
import { DescentPanel } from './Descent.tsx';
import { ListsPanel } from './Lists.tsx';
import { LogPanel } from './Log.tsx';
import { PlanPanel } from './Plan.tsx';
import { ProblemsPanel } from './Problems.tsx';
import { RehearsalPanel } from './Rehearsal.tsx';
import { WhenPanel } from './When.tsx';
import { ZonesPanel } from './Zones.tsx';
import { ReportsPanel } from '../reports/ReportsPanel.tsx';

export interface Panel {
  readonly name: string;
  readonly component: ComponentType;
}

export const panels: readonly Panel[] = [
  { name: 'Descent', component: DescentPanel },
  { name: 'Zones', component: ZonesPanel },
  { name: 'Reports', component: ReportsPanel },
  { name: 'Cases', component: CasesPanel },
  { name: 'Crews', component: CrewsPanel },
  { name: 'Brief', component: BriefPanel },
  { name: 'Plan', component: PlanPanel },
  { name: 'Log', component: LogPanel },
  { name: 'Problems', component: ProblemsPanel },
  { name: 'When', component: WhenPanel },
  { name: 'Calls', component: CallsPanel },
  { name: 'Lists', component: ListsPanel },
  { name: 'Alerts', component: AlertsPanel },
  { name: 'Rehearsal', component: RehearsalPanel },
];

export const panelNames: readonly string[] = panels.map((panel) => panel.name);
