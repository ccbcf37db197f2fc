// What deserves a message to a person: the alarms that a circuit's status stands for, and what has changed in them.
// Pure.
import { z } from 'zod';
import type { CircuitMessages } from '../status';

export const ALERTS_VERSION = 1;

const instant = z.iso.datetime({ offset: true });

export const alertEvent = z.object({
  id: z.string().describe('Of this event: the same one may come twice, and is then the same'),
  what: z.enum([
    ...(['luminaire failed', 'controller silent', 'tester fault', 'mains failure', 'test overdue'] as const),
    'building not served',
  ]),
  state: z.enum(['raised', 'cleared']),
  circuit: z.string().describe('Empty if the whole building is meant'),
  luminaire: z.string().nullable().describe('null if the whole circuit is meant'),
  place: z.string().describe('Place of the luminaire, or name of the circuit'),
  since: instant.describe('When it began'),
  at: instant.describe('When the host saw it'),
  words: z.string().describe('Plain English'),
});

export const alertMessage = z
  .object({
    v: z.literal(ALERTS_VERSION),
    building: z.string().describe('Id of the site'),
    name: z.string(),
    simulated: z.boolean(),
    events: z.array(alertEvent).describe('Empty in a sign of life'),
    lost: z.int().min(0).describe('Older events that no longer fitted into the queue'),
  })
  .describe(
    'What a webhook gets: new alarms, and alarms that are over; or, if it asks for it, a sign of life',
  );

export type AlertEvent = z.infer<typeof alertEvent>;
export type AlertMessage = z.infer<typeof alertMessage>;

/** An alarm that lasts. */
export const alarmSchema = alertEvent.omit({ id: true, state: true, at: true });
export type Alarm = z.infer<typeof alarmSchema>;

const TROUBLES = {
  fault: 'tester fault',
  outage: 'mains failure',
  held: undefined,
  overdue: 'test overdue',
} as const;

function lampAlarms({ luminaires }: CircuitMessages): Alarm[] {
  return luminaires.flatMap((one): Alarm[] =>
    // A repair is no proof: the alarm lasts until the retest has passed.
    one.defects.map(({ since, words }) => ({
      ...{ what: 'luminaire failed', circuit: one.circuit, luminaire: one.luminaire },
      ...{ place: `${one.place}, ${one.area.name}`, since, words },
    })),
  );
}

/** The alarms that last in a circuit. A hold is no alarm: somebody wants it. */
export function alarmsOf(messages: CircuitMessages): Alarm[] {
  const { circuit: id, name, contact, silentSince, words, troubles } = messages.circuit;
  const of = (what: Alarm['what'], since: string, why: string): Alarm => ({
    ...{ what, circuit: id, luminaire: null, place: name, since, words: why },
  });
  const silent =
    contact === 'silent' && silentSince !== null ? [of('controller silent', silentSince, words)] : [];
  const lasting = troubles.flatMap(({ trouble, since }) => {
    const what = TROUBLES[trouble];
    return what ? [of(what, since, words)] : [];
  });
  return [...lampAlarms(messages), ...silent, ...lasting];
}

/** UTC second. */
function begun({ since }: Alarm): number {
  return Date.parse(since) / 1000;
}

/** Names an alarm from its beginning to its end, whatever time zone the site is said to be in. */
export function alarmKey(alarm: Alarm): string {
  const { what, circuit, luminaire } = alarm;
  return [what, circuit, luminaire ?? '', begun(alarm)].join('|');
}

/** Silence is counted from the last word, and is noticed ten heartbeats later, s: told rather than not. */
const SILENCE_NOTICED_SEC = 3600;

/**
 * Whether an alarm found at the first look at a circuit was there before alerts were set up: that is in the digest.
 * @param setUpAt UTC second
 */
export function wasBefore(alarm: Alarm, setUpAt: number): boolean {
  const noticed = alarm.what === 'controller silent' ? SILENCE_NOTICED_SEC : 0;
  return begun(alarm) + noticed < setUpAt;
}

/**
 * What has changed in a circuit's alarms.
 * @param known those of the look before, by key
 * @param at instant of this look, with its offset
 */
export function alertsBetween(
  known: ReadonlyMap<string, Alarm>,
  present: ReadonlyMap<string, Alarm>,
  at: string,
): AlertEvent[] {
  const event = (key: string, alarm: Alarm, state: AlertEvent['state']): AlertEvent => ({
    ...{ ...alarm, id: `${key}|${state}`, state, at },
  });
  const raised = [...present].filter(([key]) => !known.has(key));
  const cleared = [...known].filter(([key]) => !present.has(key));
  return [
    ...raised.map(([key, alarm]) => event(key, alarm, 'raised')),
    ...cleared.map(([key, alarm]) => event(key, alarm, 'cleared')),
  ];
}
