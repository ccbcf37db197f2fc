// The fields of a site file. Every message completes the sentence "FIELD ... ." and says what to write.
import { z } from 'zod';
import { isDate, isTimeZone, WEEKDAYS } from './civil';
import type { Weekday } from './model';

export const CHEMISTRIES = ['NiCd', 'NiMH', 'LiFePO4', 'lead-acid'] as const;
/** How often circuits are tested by hand. */
export const ROUNDS = ['week', 'month', 'quarter'] as const;

/** What is known of a field besides its check: for hints in messages, and for the reference. */
export interface About {
  kind:
    | 'text'
    | 'id'
    | 'number'
    | 'date'
    | 'clock'
    | 'moment'
    | 'zone'
    | 'word'
    | 'yes or no'
    | 'list'
    | 'group';
  /** What the field says, with its unit, as in its messages. */
  what: string;
  /** What may be written. */
  accepts: string;
  /** For numbers. */
  isWhole?: boolean;
  from?: number;
  to?: number;
  /** For ids: capital letters are allowed. */
  keepsCase?: boolean;
  /** For words. */
  options?: readonly string[];
}

/** Every field made here, with what is known of it. */
export const fields = z.registry<About>();

/** One or more printable characters. */
export function words(what: string, longest = 80) {
  const accepts = `1 to ${longest} characters`;
  const error = `must be ${what}, ${accepts}`;
  return z
    .string({ error })
    .trim()
    .min(1, { error })
    .max(longest, { error })
    .register(fields, { kind: 'text', what, accepts });
}

/** Ids of sites, floors, areas and circuits; they also appear in MQTT topics. */
export function id(example: string) {
  const accepts = '1 to 24 lower-case letters, digits or hyphens';
  const error = `must be ${accepts}, e.g. "${example}"`;
  return z
    .string({ error })
    .regex(/^[a-z0-9-]{1,24}$/, { error })
    .register(fields, { kind: 'id', what: 'the id', accepts });
}

export function luminaireId() {
  const accepts = '1 to 24 letters, digits or hyphens';
  const error = `must be ${accepts}, e.g. "GA-04"`;
  return z
    .string({ error })
    .regex(/^[A-Za-z0-9-]{1,24}$/, { error })
    .register(fields, { kind: 'id', what: 'the id of the luminaire', accepts, keepsCase: true });
}

export function whole(what: string, from: number, to: number) {
  const accepts = `a whole number from ${from} to ${to}`;
  const error = `must be ${what}, ${accepts}`;
  return z
    .int({ error })
    .min(from, { error })
    .max(to, { error })
    .register(fields, { kind: 'number', what, accepts, isWhole: true, from, to });
}

/** A number above 0. */
export function positive(what: string, most: number) {
  const accepts = `a number above 0, up to ${most}`;
  const error = `must be ${what}, ${accepts}`;
  return z
    .number({ error })
    .gt(0, { error })
    .max(most, { error })
    .register(fields, { kind: 'number', what, accepts, from: 0, to: most });
}

/** One of these numbers. */
export function oneNumberOf<const T extends readonly number[]>(what: string, options: T) {
  const accepts = `one of: ${options.join(', ')}`;
  const [from, to] = [Math.min(...options), Math.max(...options)];
  const schema = z.literal(options, { error: `must be ${what}, ${accepts}` });
  fields.add(schema, { kind: 'number', what, accepts, isWhole: true, from, to });
  return schema;
}

/** An angle or a temperature from -most to most degrees. */
export function degrees(what: string, most: number) {
  const accepts = `a number from -${most} to ${most}`;
  const error = `must be ${what}, ${accepts}`;
  return z
    .number({ error })
    .min(-most, { error })
    .max(most, { error })
    .register(fields, { kind: 'number', what, accepts, from: -most, to: most });
}

/** A place on a picture as a share of its width or height, %. */
export function share(what: string) {
  const accepts = 'a number from 0 to 100';
  const error = `must be ${what}, ${accepts}`;
  return z
    .number({ error })
    .min(0, { error })
    .max(100, { error })
    .register(fields, { kind: 'number', what, accepts, from: 0, to: 100 });
}

/** A picture below the folder of the site file: a page that may write the site file must reach nothing else by it. */
export function picturePath(what: string) {
  const accepts = 'the path of an SVG, PNG or JPEG file below the folder of the site file, with /';
  const error = `must be ${what}: ${accepts}, e.g. "plans/ground.svg"`;
  const isBelow = (path: string) => path.split('/').every((part) => part !== '' && !/^\.+$/.test(part));
  return z
    .string({ error })
    .max(200, { error })
    .regex(/^[^\\:\p{Cc}]+\.(svg|png|jpe?g)$/iu, { error })
    .refine(isBelow, { error })
    .register(fields, { kind: 'text', what, accepts });
}

/** Any number. */
export function anyNumber(what: string) {
  return z
    .number({ error: `must be ${what}, a number` })
    .register(fields, { kind: 'number', what, accepts: 'a number', from: -Infinity, to: Infinity });
}

export function date(what: string) {
  const error = `must be ${what} as YYYY-MM-DD, a real date`;
  return z
    .string({ error })
    .refine(isDate, { error })
    .register(fields, { kind: 'date', what, accepts: 'a real date, YYYY-MM-DD' });
}

/** Minutes since midnight from "HH:MM". */
export function clockTime(what: string) {
  const error = `must be ${what} as "HH:MM", 00:00 to 23:59`;
  return z
    .string({ error })
    .regex(/^([01]\d|2[0-3]):[0-5]\d$/, { error })
    .transform((text) => Number(text.slice(0, 2)) * 60 + Number(text.slice(3)))
    .register(fields, { kind: 'clock', what, accepts: '"HH:MM", 00:00 to 23:59' });
}

/** "YYYY-MM-DDTHH:MM", local civil time. */
export function localTime(what: string) {
  const error = `must be ${what} as YYYY-MM-DDTHH:MM, local time`;
  const valid = (text: string) =>
    isDate(text.slice(0, 10)) && /^T([01]\d|2[0-3]):[0-5]\d$/.test(text.slice(10));
  return z
    .string({ error })
    .refine(valid, { error })
    .register(fields, { kind: 'moment', what, accepts: 'YYYY-MM-DDTHH:MM, local time' });
}

export function timeZone() {
  const error = 'must be an IANA time zone, e.g. "Europe/London"';
  return z
    .string({ error })
    .refine(isTimeZone, { error })
    .register(fields, { kind: 'zone', what: 'the time zone of the building', accepts: 'an IANA time zone' });
}

export function oneOf<const T extends readonly string[]>(what: string, options: T) {
  const accepts = `one of: ${options.join(', ')}`;
  return z
    .enum(options, { error: `must be ${accepts}` })
    .register(fields, { kind: 'word', what, accepts, options });
}

export function days(what: string) {
  const error = `must be a list of days from: ${WEEKDAYS.join(', ')}`;
  const day = z
    .enum(WEEKDAYS as unknown as [Weekday, ...Weekday[]], { error })
    .register(fields, { kind: 'word', what: 'a day', accepts: 'a day', options: WEEKDAYS });
  const accepts = `a list of ${WEEKDAYS.join(', ')}`;
  return z.array(day, { error }).min(1, { error }).register(fields, { kind: 'list', what, accepts });
}

export function listOf<T extends z.ZodType>(item: T, what: string, least = 0) {
  const accepts = `a list of ${what}${least > 0 ? ', at least one' : ''}`;
  const error = `must be ${accepts}`;
  return z.array(item, { error }).min(least, { error }).register(fields, { kind: 'list', what, accepts });
}

/** An address that checkpoints are sent to, without a slash at its end. */
export function httpAddress(what: string) {
  const error = `must be ${what}, e.g. "http://192.168.1.9:8351"`;
  return z
    .string({ error })
    .regex(/^https?:\/\/[^\s/]+\S*$/, { error })
    .transform((text) => text.replace(/\/+$/, ''))
    .register(fields, { kind: 'text', what, accepts: 'an address that begins with http:// or https://' });
}

/** A verifier key in its form; whether its parts fit each other is checked where it is used. */
export function verifierKey(what: string) {
  const accepts = 'name+8 digits+44 characters, as it was printed there';
  const error = `must be ${what}, ${accepts}`;
  return z
    .string({ error })
    .regex(/^[^\s+]+\+[0-9a-f]{8}\+[A-Za-z0-9+/]{44}$/, { error })
    .register(fields, { kind: 'text', what, accepts });
}

export function yesNo(what: string) {
  return z
    .boolean({ error: `must be true or false (${what})` })
    .register(fields, { kind: 'yes or no', what, accepts: '`true` or `false`' });
}

export function group<T extends z.ZodRawShape>(shape: T, what: string) {
  return z
    .strictObject(shape, {
      error: (issue) => (issue.code === 'unrecognized_keys' ? 'unknown' : `must be ${what}`),
    })
    .register(fields, { kind: 'group', what, accepts: what });
}
