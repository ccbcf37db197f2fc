// What can be changed in a site file: a field, or a floor, area, circuit or luminaire as a whole. Things are named by
// their ids, never by their place in a list, because somebody else may have changed the list.
import { z } from 'zod';

/** What has an id in a site file. */
export const PARTS = ['floors', 'areas', 'circuits', 'luminaires'] as const;
export type Part = (typeof PARTS)[number];

/** Most changes saved at once: a thousand luminaires placed on a plan, each by three fields. */
export const CHANGES_MAX = 3000;

const id = z.string().max(100);
const name = z.string().regex(/^[A-Za-z]{1,40}$/);
const part = z.enum(PARTS);
const item = z.record(name, z.unknown());

/** One change, as JSON holds it; values are written as in the file. */
export const change = z.discriminatedUnion('do', [
  /** A field of the site (`part` is "site", `id` is ""), or of a thing with an id; null leaves it out. */
  z.strictObject({
    do: z.literal('set'),
    part: z.enum(['site', ...PARTS]),
    id,
    field: name,
    value: z.unknown(),
  }),
  /** At the end of its list; a luminaire goes to the end of its circuit. */
  z.strictObject({ do: z.literal('add'), part, circuit: id.optional(), item }),
  z.strictObject({ do: z.literal('remove'), part, id }),
  /** Another id. A luminaire keeps its results by it; all that names the thing is changed too. */
  z.strictObject({ do: z.literal('rename'), part, id, to: id }),
  /** To the end of another circuit. What the luminaire has from its old circuit, such as its battery, goes with it. */
  z.strictObject({ do: z.literal('move'), part: z.literal('luminaires'), id, to: id }),
]);
export type Change = z.infer<typeof change>;

/** A list of changes as somebody sends it. */
export const changes = z.array(change).min(1).max(CHANGES_MAX);
