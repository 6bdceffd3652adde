// One schema per call, of its arguments. What comes from a window is unknown until its guard has said yes.
import { z } from 'zod';
import { logEvent, type NewEvent } from '../core/log/events.ts';
import { isDeeper } from '../core/base/depth.ts';
import { EVENT_DEPTH_MAX, EVENT_LENGTH_MAX } from '../core/log/read.ts';
import { time } from '../core/plan/schema.ts';
import { instructorAct } from '../core/rehearsal/acts.ts';
import { MAX_FILE_BYTES, type CallName, type DeskCalls } from './contract.ts';
import { isShallowText, MAX_DEPTH, MAX_PLAN_BYTES } from './limits.ts';

const path = z
  .string()
  .min(1)
  .max(4096)
  .regex(/^[^\0]+$/, 'expected a path');
const fileName = z
  .string()
  .min(1)
  .max(255)
  .regex(/^[^/\\\0]+$/, 'expected a bare file name')
  .refine((name) => name !== '.' && name !== '..', 'expected a bare file name');
const bytes = z
  .instanceof(Uint8Array)
  .refine((given) => given.length <= MAX_FILE_BYTES, `expected at most ${MAX_FILE_BYTES} bytes`);
const text = z.string().max(MAX_PLAN_BYTES);
const planText = text.refine(isShallowText, `expected lists and groups at most ${MAX_DEPTH} deep`);
const digest = z.string().regex(/^[0-9a-f]{64}$/, 'expected a digest');

const speed = z.number().int().min(1).max(60);
const windowName = z.string().min(1).max(64);

/** For `seq`, `at` and the hash, which the desk adds. */
const HEAD_LENGTH = 300;

// An event before the desk has numbered it: the log's own schema with stand-ins for the two keys that the desk adds.
const newEvent = z.unknown().refine((event): event is NewEvent => {
  if (typeof event !== 'object' || event === null || 'seq' in event || 'at' in event) return false;
  // JSON.stringify follows every level: how deep it may be is asked first.
  if (isDeeper(event, EVENT_DEPTH_MAX) || JSON.stringify(event).length > EVENT_LENGTH_MAX - HEAD_LENGTH) return false;
  return logEvent.safeParse({ ...event, seq: 0, at: '1970-01-01T00:00:00Z' }).success;
}, `expected a log event without seq and at, of ${EVENT_LENGTH_MAX} characters and ${EVENT_DEPTH_MAX} levels at most`);

/** A call without a guard does not compile. */
export const guards: { readonly [C in CallName]: z.ZodType<Parameters<DeskCalls[C]>> } = {
  'mission/demos': z.tuple([]),
  'mission/open': z.tuple([path]),
  'mission/choose': z.tuple([]),
  'mission/create': z.tuple([z.string().min(1).max(200), planText]),
  'mission/save': z.tuple([path, planText, digest.optional()]),
  'mission/attach': z.tuple([path, fileName, bytes]),
  'log/append': z.tuple([path, newEvent, time.optional()]),
  'log/since': z.tuple([path, z.number().int().min(-1)]),
  'log/keep': z.tuple([path, z.array(logEvent)]),
  'export/write': z.tuple([path, fileName, bytes]),
  'export/pdf': z.tuple([path, fileName, text]),
  'feed/watch': z.tuple([path, path]),
  'feed/choose': z.tuple([z.enum(['folder', 'file']), path]),
  'feed/follow': z.tuple([
    z.strictObject({ address: path, body: z.string().min(1).max(200), ahead_ms: z.number().min(-1e15).max(1e15) }),
    path,
  ]),
  'feed/list': z.tuple([windowName]),
  'feed/take': z.tuple([z.number().int(), windowName]),
  'feed/taken': z.tuple([
    z.number().int(),
    z.strictObject({
      entered: z.number().int().min(0),
      repeats: z.number().int().min(0),
      said: z.string().max(10_000),
      amiss: z.boolean(),
    }),
  ]),
  'feed/stop': z.tuple([path]),
  'rehearsal/offered': z.tuple([]),
  'rehearsal/start': z.tuple([
    z.strictObject({
      scenario: z.string().min(1).max(200),
      seed: z
        .number()
        .int()
        .min(0)
        .max(2 ** 31 - 1),
      speed,
      planText,
    }),
    path,
  ]),
  'rehearsal/state': z.tuple([]),
  'rehearsal/do': z.tuple([
    z.discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('go on') }),
      z.strictObject({ kind: z.literal('pause') }),
      z.strictObject({ kind: z.literal('speed'), speed }),
      z.strictObject({ kind: z.literal('stop') }),
      z.strictObject({ kind: z.literal('order'), order: z.enum(['say again', 'go']), crew: z.string().max(1000) }),
      z.strictObject({ kind: z.literal('act'), act: instructorAct }),
    ]),
  ]),
  'host/about': z.tuple([]),
  'host/clock': z.tuple([]),
};
