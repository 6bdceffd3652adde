// The names under which calls and events cross Electron's process border: one channel per name, never one for all.
import type { CallName, EventName } from '../contract.ts';

export const callChannel = (name: CallName): string => `plumbline:call:${name}`;
export const eventChannel = (name: EventName): string => `plumbline:event:${name}`;
