// The JSON interface described in host/api: questions in, views out.
import { type Context, Hono } from 'hono';
import { z } from 'zod';
import { OrderKind } from '../../firmware/contract/codes';
import type { Desk, Guest } from '../accounts/desk';
import type { DefectsView } from '../api/defects';
import { packStatus } from '../api/packed';
import type { CheckpointView, LogbookView, LuminaireHistory, OrderOutcome, StatusView } from '../api/views';
import { type BatteryOutlook, createBatteryOutlook } from '../house/batteryOutlook';
import type { Entering } from '../house/enter';
import { baselineView, measurement } from '../house/notes/baseline';
import { isAboutCircuit, siteNotes } from '../house/notes/inspected';
import { noteAddress } from '../house/notes/notes';
import type { Past } from '../house/past';
import { allIdsOf } from '../house/rows/listed';
import { luminaireHistory } from '../house/view/luminaireHistory';
import type { Outlook } from '../house/view/outlook';
import type { View } from '../house/view/view';
import type { Entry, Logbook } from '../logbook/logbook';
import type { ChainWatch } from '../logbook/watch';
import type { Orders } from '../orders/orders';
import { profileFor } from '../profiles/profile';
import type { Luminaire, Site } from '../site/model';
import type { SiteDoor } from '../siteDoor/door';
import { answer, KeptAnswer } from './answer';
import { dutyRoutes } from './dutyRoutes';
import type { EventHub, Reader } from './events';
import { failedResults } from './failedResults';
import { noticeView } from './noticeRoute';
import { ORDER_HELP, readOrder } from './orderQuestion';
import { reportRoutes } from './reportRoutes';
import type { ReportMaker } from './reports';
import { accountOf, signedBody } from './rights';
import { siteRoutes } from './siteRoutes';
import { withdrawalRoutes } from './withdrawalRoutes';

export interface RouteParts {
  site: Site;
  view: View;
  past: Past;
  logbook: Logbook;
  chain: ChainWatch;
  orders: Orders;
  entering: Entering;
  door: SiteDoor;
  /** Where people sign in. */
  desk: Desk;
  outlook: Outlook;
  hub: EventHub;
  reports: ReportMaker;
  /** The newest checkpoint of the log book; null before the first. */
  checkpoint(): CheckpointView | null;
  /** UTC second, and how fast it runs. */
  now(): number;
  speed(): number;
}

/** Most results read for one luminaire: more than ten years of brief and full tests. */
const RESULTS_MAX = 200;
/** Most charge records read for a luminaire's diagnosis. */
const CHARGES_MAX = 50;

/** What the log book may be asked for. */
export const logQuestion = z.object({
  before: z.coerce.number().int().min(1).optional(),
  limit: z.coerce.number().int().min(1).max(500).default(50),
  circuit: z
    .string()
    .regex(/^[a-z0-9-]{1,24}$/)
    .optional(),
  kind: z
    .string()
    .regex(/^[a-z]{1,16}$/)
    .optional(),
});

/** Most open defects that are told, all of them without; and which of the closed ones. */
export const defectsQuestion = z.object({
  open: z.coerce.number().int().min(0).optional(),
  closed: z.coerce.number().int().min(0).default(0),
  limit: z.coerce.number().int().min(1).max(100).default(20),
});

/** The kind a reader asks for to get results with a failed luminaire. */
const FAILED = 'failed';

async function logbookView(parts: RouteParts, query: z.infer<typeof logQuestion>): Promise<LogbookView> {
  const controller = `${parts.site.id}/${query.circuit}`;
  // What is noted about the whole site is about each of its circuits, but for looks at other parts.
  const whole = noteAddress(siteNotes(parts.site));
  const address = query.circuit === undefined ? undefined : [controller, noteAddress(controller), whole];
  const where = address === undefined ? {} : { address };
  const range = { limit: query.limit, ...(query.before !== undefined && { before: query.before }) };
  const all = await parts.logbook.entries();
  const { broken = null, ...looked } = await parts.chain.look(all);
  const chain = { ...looked, entries: all, broken };
  const view = (entries: Entry[]) => entries.map((entry) => parts.view.entry(entry));
  if (query.kind === FAILED) {
    const { entries, lookedTo } = await failedResults(parts.logbook, { ...where, ...range });
    return { entries: view(entries), total: null, lookedTo, chain };
  }
  const filter = { ...where, ...(query.kind !== undefined && { kind: query.kind }) };
  const found = await parts.logbook.page({ ...filter, ...range });
  const { circuit } = query;
  const entries =
    circuit === undefined ? found : found.filter((one) => isAboutCircuit(parts.site, one, circuit));
  const counted = address || query.kind ? await parts.logbook.total(filter) : all;
  // Of what was left out nobody knows how much there is further down.
  const total = entries.length < found.length ? null : counted;
  const lookedTo = found.length < query.limit ? 0 : found[found.length - 1].entry;
  return { entries: view(entries), total, lookedTo, chain };
}

/** Newest results of every circuit that a luminaire is or was in. */
async function resultsOf({ site, past, logbook }: RouteParts, lamp: Luminaire): Promise<Entry[]> {
  const ids = allIdsOf(lamp);
  const isIn = (list: readonly string[]) => list.some((id) => ids.includes(id));
  const homes = site.circuits.filter(({ id }) => [...past.notes.of(id).lists.values()].some(isIn));
  const found = await Promise.all(homes.map(({ id }) => logbook.results(`${site.id}/${id}`, RESULTS_MAX)));
  return found
    .flat()
    .sort((a, b) => b.entry - a.entry)
    .slice(0, RESULTS_MAX);
}

async function historyOf(
  parts: RouteParts,
  batteries: BatteryOutlook,
  id: string,
): Promise<LuminaireHistory | undefined> {
  const { site, view, past, logbook } = parts;
  const place = view.find(id);
  if (!place) return undefined;
  const address = `${site.id}/${place.circuit.id}`;
  const results = await resultsOf(parts, place.circuit.luminaires[place.index]);
  const charges = await logbook.page({ address, kind: 'charge', limit: CHARGES_MAX });
  const history = luminaireHistory(
    ...([place.circuit, place.index, results, site.timeZone, past.notes.listed, charges] as const),
  );
  const circuit = site.circuits.find((one) => one.id === place.circuit.id)!;
  const { complete } = past.history.of(circuit.id);
  const measured = measurement(circuit, complete, profileFor(site).floorPercent.value);
  const baseline = baselineView(circuit, past.notes.of(circuit.id), measured, id);
  const batteryOutlook = await batteries.sentence(id, parts.now());
  return { ...history, baseline, batteryOutlook, repair: past.unproven(circuit, id) };
}

const noLuminaire = (id: string): string => `There is no luminaire "${id}" in this site.`;

/** Orders that take the supply away, or keep it away longer. */
const TAKES_SUPPLY: readonly OrderKind[] = [OrderKind.Test, OrderKind.Extend];
const PROVE: OrderOutcome = {
  ok: false,
  askPassword: true,
  answer: 'This takes the supply away: give your password once more.',
};

async function giveOrder(
  parts: RouteParts,
  circuit: string,
  body: unknown,
  { guest, account }: { guest: Guest | undefined; account: string | undefined },
): Promise<[OrderOutcome, 200 | 400 | 403 | 404]> {
  const { site, view, orders, desk } = parts;
  const entering = parts.entering.by(account);
  if (view.luminaires(circuit).length === 0)
    return [{ ok: false, answer: `There is no circuit "${circuit}" in this site.` }, 404];
  const asked = readOrder(body);
  if (!asked) return [{ ok: false, answer: ORDER_HELP }, 400];
  const now = parts.now();
  if ('hours' in asked) return [await entering.attend(circuit, asked.hours, asked.who, now), 200];
  if ('measured' in asked) return [await entering.accept(circuit, asked.measured, asked.who, now), 200];
  if ('care' in asked) return [await entering.care(circuit, { ...asked.care, who: asked.who, now }), 200];
  if ('repaired' in asked) {
    const { repaired: luminaire, part, who } = asked;
    return [await entering.repaired(circuit, { luminaire, part, who, at: now }), 200];
  }
  if (guest && TAKES_SUPPLY.includes(asked.wish.do) && !desk.isProved(guest)) return [PROVE, 403];
  const wish = { ...asked.wish, ...(account !== undefined && { account }) };
  return [await orders.give(`${site.id}/${circuit}`, wish), 200];
}

/** Who opened a stream; it ends with their session or token, and where accounts are made since. */
function readerOf(desk: Desk, c: Context): Reader {
  const bearer = c.get('bearer');
  if (bearer) return { session: bearer.hash, mayStay: () => desk.tokens.isGood(bearer) };
  const session = c.get('guest')?.session.hash ?? '';
  return { session, mayStay: c.get('mayStay') };
}

/** All answers under /api. */
export function apiRoutes(parts: RouteParts): Hono {
  const api = new Hono();
  const batteries = createBatteryOutlook(parts.site, parts.logbook, parts.past.notes.listed);
  const [building, plan] = [new KeptAnswer(), new KeptAnswer()];
  // Of a site, only what people entered changes while the host runs, which is an entry of the log book.
  api.get('/building', (c) =>
    building.send(c, parts.past.entry(), () => JSON.stringify(parts.view.building())),
  );
  const status = (): StatusView => {
    const own = { checkpoint: parts.checkpoint(), taking: parts.door.taking() };
    return { ...parts.view.status(parts.now(), parts.speed()), ...own };
  };
  api.get('/status', (c) => answer(c, status()));
  api.get('/status/packed', (c) => answer(c, packStatus(status())));
  api.get('/notice', (c) => c.json(noticeView(parts.site, parts.view, parts.now())));
  api.get('/plan', (c) => {
    // One and the same object until there is another plan.
    const view = parts.outlook.view();
    return plan.send(c, view, () => JSON.stringify(view));
  });
  api.get('/defects', async (c) => {
    const query = defectsQuestion.safeParse(c.req.query());
    if (!query.success)
      return c.json({ ok: false, answer: 'The defects take open, closed, and limit from 1 to 100.' }, 400);
    const { open, closed: skip, limit } = query.data;
    const page = { skip, limit, ...(open !== undefined && { open }) };
    return answer(c, parts.view.defects(parts.now(), page) satisfies DefectsView);
  });
  api.get('/logbook', async (c) => {
    const query = logQuestion.safeParse(c.req.query());
    if (query.success) return answer(c, await logbookView(parts, query.data));
    const help = 'The log book takes before, limit (1 to 500), circuit and kind; one of them is wrong.';
    return c.json({ ok: false, answer: help }, 400);
  });
  api.get('/luminaires/:id', async (c) => {
    const id = c.req.param('id');
    const history = await historyOf(parts, batteries, id);
    if (history) return c.json(history);
    return c.json({ ok: false, answer: noLuminaire(id) }, 404);
  });
  api.get('/luminaires/:id/defects', async (c) => {
    const id = c.req.param('id');
    const defects = parts.view.defectsOfLuminaire(id, parts.now());
    return defects ? answer(c, defects) : c.json({ ok: false, answer: noLuminaire(id) }, 404);
  });
  api.get('/events', (c) => {
    const stream = parts.hub.open({ now: parts.now(), speed: parts.speed() }, readerOf(parts.desk, c));
    if (!stream) return c.json({ ok: false, answer: 'Too many pages are open; close some.' }, 503);
    return c.body(stream, 200, {
      'Content-Type': 'text/event-stream',
      'Cache-Control': 'no-cache',
      'X-Accel-Buffering': 'no',
    });
  });
  const ordered = async (c: Context, circuit: string, body: unknown): Promise<Response> => {
    const by = { guest: c.get('guest'), account: accountOf(c) };
    const [outcome, code] = await giveOrder(parts, circuit, signedBody(c, body), by);
    return c.json(outcome, code);
  };
  const bodyOf = (c: Context): Promise<unknown> => c.req.json().catch(() => undefined);
  api.post('/circuits/:id/orders', async (c) => ordered(c, c.req.param('id'), await bodyOf(c)));
  // A way of its own for the one order that programs may give: it moves no relay.
  api.post('/circuits/:id/traces', async (c) =>
    ordered(c, c.req.param('id'), { ...((await bodyOf(c)) as object), do: 'trace' }),
  );
  api.route('/', dutyRoutes(parts));
  api.route('/', reportRoutes(parts));
  api.route('/', siteRoutes(parts));
  api.route('/', withdrawalRoutes(parts));
  return api;
}
