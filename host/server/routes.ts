// The JSON interface of api.ts: questions in, views out.
import { Hono } from 'hono';
import { z } from 'zod';
import { controllerOf } from '../../firmware/contract/topics';
import type { LogbookView, LogEntryView, LuminaireHistory, OrderOutcome } from '../api/views';
import type { Building } from '../building/building';
import { entryView } from '../building/entries';
import { luminaireHistory } from '../building/history';
import type { Outlook } from '../building/outlook';
import type { Entry, Logbook } from '../logbook/logbook';
import type { ChainWatch } from '../logbook/watch';
import type { Orders } from '../orders/orders';
import type { People } from '../people/desk';
import { isNoteAddress, noteAddress } from '../people/notes';
import { noteView } from '../people/view';
import { readRecord } from '../records/schema';
import type { EventHub } from './events';
import { ORDER_HELP, readOrder } from './orderQuestion';

export interface RouteParts {
  site: { id: string; timeZone: string };
  building: Building;
  logbook: Logbook;
  chain: ChainWatch;
  orders: Orders;
  people: People;
  outlook: Outlook;
  hub: EventHub;
  /** UTC second, and how fast it runs. */
  now(): number;
  speed(): number;
}

/** Results looked at for one luminaire: more than ten years of brief and full tests. */
const RESULTS_MAX = 200;
/** Charge records looked at for a luminaire's diagnosis. */
const CHARGES_MAX = 50;

const logQuestion = z.object({
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

/** An entry of the log book as the page shows it. */
export function viewOf(building: Building, entry: Entry, zone: string): LogEntryView {
  const circuit = controllerOf(entry.address);
  if (isNoteAddress(entry.address)) return noteView(entry, circuit, zone);
  return entryView(entry, circuit, readRecord(entry.body), building.luminaires(circuit));
}

function logbookView(parts: RouteParts, query: z.infer<typeof logQuestion>): LogbookView {
  const controller = `${parts.site.id}/${query.circuit}`;
  const address = query.circuit === undefined ? undefined : [controller, noteAddress(controller)];
  const filter = {
    ...(address !== undefined && { address }),
    ...(query.kind !== undefined && { kind: query.kind }),
  };
  const before = query.before === undefined ? {} : { before: query.before };
  const entries = parts.logbook.page({ ...filter, ...before, limit: query.limit });
  const total = address || query.kind ? parts.logbook.total(filter) : parts.logbook.entries();
  return {
    entries: entries.map((e) => viewOf(parts.building, e, parts.site.timeZone)),
    total,
    chainValid: parts.chain.look(),
  };
}

function historyOf(parts: RouteParts, id: string): LuminaireHistory | undefined {
  const place = parts.building.find(id);
  if (!place) return undefined;
  const address = `${parts.site.id}/${place.circuit.id}`;
  const results = parts.logbook.results(address, RESULTS_MAX);
  const charges = parts.logbook.page({ address, kind: 'charge', limit: CHARGES_MAX });
  const history = luminaireHistory(place.circuit, place.index, results, parts.site.timeZone, charges);
  const { people } = parts;
  const repair = people.unproven(place.circuit.id, id);
  return { ...history, baseline: people.baseline(place.circuit.id, id), repair };
}

async function giveOrder(
  parts: RouteParts,
  circuit: string,
  body: unknown,
): Promise<[OrderOutcome, 200 | 400 | 404]> {
  if (parts.building.luminaires(circuit).length === 0)
    return [{ ok: false, answer: `There is no circuit "${circuit}" in this site.` }, 404];
  const asked = readOrder(body);
  if (!asked) return [{ ok: false, answer: ORDER_HELP }, 400];
  const now = parts.now();
  const { people } = parts;
  if ('hours' in asked) return [people.attend(circuit, asked.hours, asked.who, now), 200];
  if ('measured' in asked) return [people.accept(circuit, asked.measured, asked.who, now), 200];
  if ('repaired' in asked) {
    const { repaired, part, who } = asked;
    return [people.repaired(circuit, { luminaire: repaired, part, who, at: now }), 200];
  }
  return [await parts.orders.give(`${parts.site.id}/${circuit}`, asked.wish), 200];
}

/** All answers under /api. */
export function apiRoutes(parts: RouteParts): Hono {
  const api = new Hono();
  api.get('/building', (c) => c.json(parts.building.view()));
  api.get('/status', (c) => c.json(parts.building.status(parts.now(), parts.speed())));
  api.get('/plan', (c) => c.json(parts.outlook.view()));
  api.get('/logbook', (c) => {
    const query = logQuestion.safeParse(c.req.query());
    if (query.success) return c.json(logbookView(parts, query.data));
    const answer = 'The log book takes before, limit (1 to 500), circuit and kind, and one of them is wrong.';
    return c.json({ ok: false, answer }, 400);
  });
  api.get('/luminaires/:id', (c) => {
    const id = c.req.param('id');
    const history = historyOf(parts, id);
    if (history) return c.json(history);
    return c.json({ ok: false, answer: `There is no luminaire "${id}" in this site.` }, 404);
  });
  api.get('/events', (c) =>
    c.body(parts.hub.open({ now: parts.now(), speed: parts.speed() }), 200, {
      'Content-Type': 'text/event-stream',
      'Cache-Control': 'no-cache',
      'X-Accel-Buffering': 'no',
    }),
  );
  api.post('/circuits/:id/orders', async (c) => {
    const body: unknown = await c.req.json().catch(() => undefined);
    const [outcome, code] = await giveOrder(parts, c.req.param('id'), body);
    return c.json(outcome, code);
  });
  return api;
}
