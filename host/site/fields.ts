// The fields of a site file. Every message completes the sentence "FIELD ... ." and says what to write.
import { z } from 'zod';
import { isDate, isTimeZone, WEEKDAYS } from './civil';
import type { Weekday } from './model';

export const CHEMISTRIES = ['NiCd', 'NiMH', 'LiFePO4', 'lead-acid'] as const;
/** How often circuits are tested by hand. */
export const ROUNDS = ['week', 'month', 'quarter'] as const;

/** One or more printable characters. */
export function words(what: string, longest = 80) {
  const error = `must be ${what}, 1 to ${longest} characters`;
  return z.string({ error }).trim().min(1, { error }).max(longest, { error });
}

/** Ids of sites, floors, areas and circuits; they also appear in MQTT topics. */
export function id(example: string) {
  const error = `must be 1 to 24 lower-case letters, digits or hyphens, e.g. "${example}"`;
  return z.string({ error }).regex(/^[a-z0-9-]{1,24}$/, { error });
}

export function luminaireId() {
  const error = 'must be 1 to 24 letters, digits or hyphens, e.g. "GA-04"';
  return z.string({ error }).regex(/^[A-Za-z0-9-]{1,24}$/, { error });
}

export function whole(what: string, from: number, to: number) {
  const error = `must be ${what}, a whole number from ${from} to ${to}`;
  return z.int({ error }).min(from, { error }).max(to, { error });
}

/** A number above 0. */
export function positive(what: string, most: number) {
  const error = `must be ${what}, a number above 0, up to ${most}`;
  return z.number({ error }).gt(0, { error }).max(most, { error });
}

/** One of these numbers. */
export function oneNumberOf<const T extends readonly number[]>(what: string, options: T) {
  const error = `must be ${what}, one of: ${options.join(', ')}`;
  return z.literal(options, { error });
}

/** An angle from -most to most degrees. */
export function degrees(what: string, most: number) {
  const error = `must be ${what}, a number from -${most} to ${most}`;
  return z.number({ error }).min(-most, { error }).max(most, { error });
}

export function date(what: string) {
  const error = `must be ${what} as YYYY-MM-DD, a real date`;
  return z.string({ error }).refine(isDate, { error });
}

/** Minutes since midnight from "HH:MM". */
export function clockTime(what: string) {
  const error = `must be ${what} as "HH:MM", 00:00 to 23:59`;
  return z
    .string({ error })
    .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error })
    .transform((text) => Number(text.slice(0, 2)) * 60 + Number(text.slice(3)));
}

/** "YYYY-MM-DDTHH:MM", local civil time. */
export function localTime(what: string) {
  const error = `must be ${what} as YYYY-MM-DDTHH:MM, local time`;
  const valid = (text: string) =>
    isDate(text.slice(0, 10)) && /^T([01]\d|2[0-3]):[0-5]\d$/.test(text.slice(10));
  return z.string({ error }).refine(valid, { error });
}

export function timeZone() {
  const error = 'must be an IANA time zone, e.g. "Europe/London"';
  return z.string({ error }).refine(isTimeZone, { error });
}

export function oneOf<const T extends readonly string[]>(options: T) {
  return z.enum(options, { error: `must be one of: ${options.join(', ')}` });
}

export function days() {
  const error = `must be a list of days from: ${WEEKDAYS.join(', ')}`;
  return z
    .array(z.enum(WEEKDAYS as unknown as [Weekday, ...Weekday[]], { error }), { error })
    .min(1, { error });
}

export function listOf<T extends z.ZodType>(item: T, what: string, least = 0) {
  const error = `must be a list of ${what}${least > 0 ? ', at least one' : ''}`;
  return z.array(item, { error }).min(least, { error });
}

/** An address that checkpoints are sent to, without a slash at its end. */
export function httpAddress(what: string) {
  const error = `must be ${what}, e.g. "http://192.168.1.9:8351"`;
  return z
    .string({ error })
    .regex(/^https?:\/\/[^\s/]+\S*$/, { error })
    .transform((text) => text.replace(/\/+$/, ''));
}

/** A verifier key in its form; whether its parts fit each other is checked where it is used. */
export function verifierKey(what: string) {
  const error = `must be ${what}, name+8 digits+44 characters, as it was printed there`;
  return z.string({ error }).regex(/^[^\s+]+\+[0-9a-f]{8}\+[A-Za-z0-9+/]{44}$/, { error });
}

export function yesNo(what: string) {
  return z.boolean({ error: `must be true or false: ${what}` });
}

export function group<T extends z.ZodRawShape>(shape: T, what: string) {
  return z.strictObject(shape, {
    error: (issue) => (issue.code === 'unrecognized_keys' ? 'unknown' : `must be ${what}`),
  });
}
