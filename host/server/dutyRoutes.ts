// What people must look at, and what they saw: questions in, views out.
import { type Context, Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { z } from 'zod';
import type { Person } from '../api/accounts';
import type { DutiesView, DutyView, FindingView, InspectionOutcome } from '../api/duties';
import { ENTRY_HEADER, INSPECTION_BYTES, TOO_LONG } from '../api/inspectionLimits';
import { type DueDuty, dueDuties, dueWords } from '../duties/due';
import { dutiesOf, intervalWords } from '../duties/duties';
import type { Entering } from '../house/enter';
import { MARKS, scopeWords } from '../house/notes/inspected';
import type { Finding } from '../house/notes/inspections';
import type { Past } from '../house/past';
import { row } from '../profiles/table';
import { localDate } from '../site/civil';
import type { Site } from '../site/model';
import { isWho } from '../words/person';
import { KeptAnswer } from './answer';

export interface DutyParts {
  site: Site;
  past: Past;
  entering: Entering;
  /** UTC second. */
  now(): number;
}

/** Most luminaires still to see that are named. */
const LEFT_MAX = 8;
const SHORT = 80;
/** Said of what no form of ours sends. */
const UNREADABLE =
  'This host cannot read the entry. Load the page again; if the entry came from another program, bring that up to date.';

/** The length of words is not judged here but with the rest, which is refused in plain words. */
export const inspection = z.strictObject({
  id: z.string().max(SHORT),
  site: z.string().max(SHORT).optional(),
  account: z.string().max(SHORT).optional(),
  duty: z.string().max(SHORT),
  who: z.string(),
  done: z.int(),
  scope: z.string().max(SHORT),
  points: z
    .array(
      z.strictObject({
        point: z.string().max(SHORT),
        mark: z.enum(MARKS),
        luminaires: z.array(z.string().max(SHORT)),
        words: z.string(),
      }),
    )
    .max(50),
  words: z.string(),
});

const named = z.looseObject({ id: z.string() });

function dutyView({ duty, due, state, days, last, left }: DueDuty): DutyView {
  const { id, title, by, byLuminaire, points, rule, interval } = duty;
  const { source, status } = row('', rule, (words) => words);
  return {
    ...{ id, title, by, byLuminaire, points, due, state, days },
    ...{ left: left.slice(0, LEFT_MAX), leftCount: left.length },
    ...{ what: rule.value, source: source === '' ? status : `${source}: ${status}` },
    ...{ every: intervalWords(interval), dueWords: dueWords({ state, days }) },
    last: last ? { who: last.who, done: last.done } : null,
  };
}

function findingView({ title, asked, luminaire, scope, words, who, since }: Finding): FindingView {
  return { duty: title, asked, luminaire, where: scopeWords(scope), words, who, since };
}

/** The present duties and findings of a site. */
function dutiesView({ site, past, now }: DutyParts): DutiesView {
  const { inspections } = past;
  const due = dueDuties(dutiesOf(site), site, inspections, now());
  return { duties: due.map(dutyView), findings: inspections.findings().map(findingView) };
}

/** The id is repeated whatever else is wrong, because a phone takes an answer without it for somebody else's. */
function refusal(id: string | undefined, answer: string): InspectionOutcome {
  return { ok: false, id: (id ?? '').slice(0, SHORT), refused: true, answer };
}

/**
 * A form stays its author's: it waits until that account signs in. One filled in before anybody had to sign in is entered by
 * who sends it; the name typed in it is kept as words, because anybody may have typed it.
 */
async function enter(
  { site, entering, now }: DutyParts,
  body: unknown,
  person: Person | undefined,
): Promise<[InspectionOutcome, 200 | 400 | 403 | 409 | 503]> {
  const wish = inspection.safeParse(body);
  if (!wish.success) return [refusal(named.safeParse(body).data?.id, UNREADABLE), 400];
  const { account: author, site: about, ...asked } = wish.data;
  if (about !== undefined && about !== site.id) {
    const answer = `It is about the building "${about}", and is sent when the page of that one is open.`;
    return [{ ok: false, id: asked.id, refused: false, answer }, 409];
  }
  if (person && author !== undefined && author !== person.id) {
    const answer = `It was filled in by ${author}, and is sent when ${author} signs in on this device.`;
    return [{ ok: false, id: asked.id, refused: false, answer }, 403];
  }
  const typed = asked.who.trim();
  const isOther = person !== undefined && typed !== person.name && isWho(typed);
  const signed = { ...asked, who: person?.name ?? asked.who, ...(isOther && { writtenAs: typed }) };
  const outcome = await entering.by(person?.id).inspected(signed, now());
  return [outcome, outcome.ok ? 200 : outcome.refused ? 400 : 503];
}

/** All answers about duties under /api. */
export function dutyRoutes(parts: DutyParts): Hono {
  const api = new Hono();
  const duties = new KeptAnswer();
  // Duties are due by date, and change with what people enter.
  api.get('/duties', (c) => {
    const today = localDate(parts.site.timeZone, parts.now());
    return duties.send(c, `${today} ${parts.past.inspections.revision()}`, () =>
      JSON.stringify(dutiesView(parts)),
    );
  });
  const onError = (c: Context) => c.json(refusal(c.req.header(ENTRY_HEADER), TOO_LONG), 413);
  api.use('/inspections', bodyLimit({ maxSize: INSPECTION_BYTES, onError }));
  api.post('/inspections', async (c) => {
    const [outcome, code] = await enter(
      parts,
      await c.req.json().catch(() => undefined),
      c.get('guest')?.person,
    );
    return c.json(outcome, code);
  });
  return api;
}
