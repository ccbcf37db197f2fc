// What a person may request on the page, and the order it becomes.
import { z } from 'zod';
import { OrderKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { RepairPart } from '../api/views';
import type { CareFields } from '../house/notes/care';
import type { OrderWish } from '../orders/orders';
import { TEST_KINDS } from '../words/codes';
import { isWho, NAME_RULE } from '../words/person';

const HOURS_MAX = Limit.HoldSecMax / 3600;
/** No brief test is longer than a quarter of the longest rated duration. */
const MINUTES_MAX = Limit.RatedSecMax / Limit.BriefShareOfRated / 60;

const whose = { who: z.string().refine(isWho) };
const toController = z.discriminatedUnion('do', [
  z.object({ do: z.literal(['restore', 'clear fault', 'release', 'trace']), ...whose }),
  z.object({ do: z.literal('hold'), hours: z.int().min(1).max(HOURS_MAX), ...whose }),
  z.object({ do: z.literal('test'), kind: z.enum(['brief', 'full', 'limited', 'commissioning']), ...whose }),
  z.object({ do: z.literal('extend'), minutes: z.int().min(1).max(MINUTES_MAX), ...whose }),
]);

const PARTS = [
  'battery',
  'lamp',
  'driver or charger',
  'whole luminaire',
  'other',
] as const satisfies RepairPart[];
const luminaire = z.string().max(24);
const text = z.string().max(1000);
const toHost = z.discriminatedUnion('do', [
  z.object({ do: z.literal('attend'), hours: z.int().min(1).max(24), ...whose }),
  z.object({ do: z.literal('leave'), ...whose }),
  z.object({ do: z.literal('accept'), luminaire, ...whose }),
  z.object({ do: z.literal('repaired'), luminaire, part: z.enum(PARTS), ...whose }),
  // Names and words are checked where they are entered, and may have the letters of any script.
  z.object({
    do: z.literal('defect'),
    luminaire,
    owner: text,
    due: text,
    interim: text,
    words: text,
    who: text,
  }),
]);

/** Of the order that a program with an access token may give. */
export const traceOrder = z.object(whose);

/** Every order that can be read. */
export const order = z.union([toController, toHost]);

/** What the body of an order must contain, for a sender who sent something else. */
export const ORDER_HELP =
  `An order needs "who": your name, ${NAME_RULE}, and "do": "restore", "clear fault", "release", "trace", ` +
  '"leave", "accept" with "luminaire" ("" for the circuit), "repaired" with "luminaire" and "part": ' +
  `${PARTS.map((part) => `"${part}"`).join(' or ')}, ` +
  '"defect" with "luminaire" ("" for the circuit), "owner", "due", "interim" and "words", ' +
  `"attend" with "hours" from 1 to 24, "hold" with "hours" from 1 to ${HOURS_MAX}, ` +
  '"test" with "kind": "brief", "full", "limited" or "commissioning", ' +
  `or "extend" with "minutes" from 1 to ${MINUTES_MAX}.`;

const PLAIN = {
  restore: OrderKind.Restore,
  'clear fault': OrderKind.ClearFault,
  release: OrderKind.Release,
};

function wishOf(asked: z.infer<typeof toController>): OrderWish {
  const { who } = asked;
  if (asked.do === 'hold') return { do: OrderKind.Hold, arg: asked.hours * 3600, who };
  if (asked.do === 'test') return { do: OrderKind.Test, arg: TEST_KINDS[asked.kind], who };
  if (asked.do === 'extend') return { do: OrderKind.Extend, arg: asked.minutes * 60, who };
  if (asked.do === 'trace') return { do: OrderKind.Trace, arg: Limit.TraceCharsMax, who };
  return { do: PLAIN[asked.do], arg: 0, who };
}

/**
 * What the host handles itself: a window for work of some hours, 0 to end it; accept measured currents; enter
 * a repair, or who sees to a defect and by when.
 */
export type HostWish = { who: string } & (
  | { hours: number }
  | { measured: string }
  | { repaired: string; part: RepairPart }
  | { care: CareFields }
);

/** What a request's body asks for; undefined if there is no such thing. */
export function readOrder(body: unknown): { wish: OrderWish } | HostWish | undefined {
  const order = toController.safeParse(body).data;
  if (order) return { wish: wishOf(order) };
  const asked = toHost.safeParse(body).data;
  if (!asked) return undefined;
  const { who } = asked;
  if (asked.do === 'accept') return { measured: asked.luminaire, who };
  if (asked.do === 'defect') {
    const { luminaire, owner, due, interim, words } = asked;
    return { care: { luminaire, owner, due, interim, words }, who };
  }
  if (asked.do === 'repaired') return { repaired: asked.luminaire, part: asked.part, who };
  return { hours: asked.do === 'attend' ? asked.hours : 0, who };
}
