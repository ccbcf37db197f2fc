// What the page says about duties, and how a filled form becomes an entry.
import type { AnswerMark, DutiesView, DutyView, FindingView, InspectionRequest } from '../../api/duties';
import { INSPECTION_BYTES, WORDS_MAX } from '../../api/inspectionLimits';
import type { BuildingView } from '../../api/views';
import { plainText } from '../../words/freeText';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';
import { utcOfInput } from './localInput';
import { orderName } from './order';
import { dateWord } from './time';
import type { Tone } from './tone';

export const MARKS: AnswerMark[] = ['in order', 'not in order', 'not applicable'];

export interface PointDraft {
  mark: AnswerMark | '';
  luminaires: string[];
  words: string;
}

/** A form as far as it is filled in. */
export interface Draft {
  who: string;
  scope: string;
  /** By point; what is missing has not been answered. */
  points: Record<string, PointDraft>;
  words: string;
  /** When it was done, as the input has it; '' for the moment it is entered. */
  done: string;
}

/** A draft in the browser, with the site time at which it was last changed, UTC seconds. */
export type KeptDraft = Draft & { kept: number };

/** What somebody saw longer ago must not become "done: now". */
const DRAFT_SEC = 86_400;

/** A draft from the browser's text; an empty one if there is none, or it is older than a day. */
export function draftFrom(text: string | null, who: string, now: number): Draft {
  const { kept = 0, ...draft } = JSON.parse(text ?? '{}') as Partial<KeptDraft>;
  const isFresh = Math.abs(now - kept) <= DRAFT_SEC;
  return { ...emptyDraft(who), ...(isFresh ? draft : {}) };
}

export const NO_ANSWER: PointDraft = { mark: '', luminaires: [], words: '' };

export function emptyDraft(who: string): Draft {
  return { who, scope: 'site', points: {}, words: '', done: '' };
}

export function dutyTone({ state }: Pick<DutyView, 'state'>): Tone {
  if (state === 'overdue') return 'fault';
  if (state === 'due' || state === 'soon') return 'busy';
  return state === 'done' ? 'good' : 'idle';
}

/** Days up to which a date is counted in days. */
const COUNTED_DAYS = 60;

/** "overdue by 3 days, was due Tue 6 Jan 2026", "due in 5 days, Tue 6 Jan 2026", "due Tue 6 Jan 2026". */
export function dueLine({ state, days, due }: Pick<DutyView, 'state' | 'days' | 'due'>): string {
  if (due === '') return t.duties.done;
  if (days === 0) return t.duties.today;
  const date = dateWord(due);
  if (state === 'overdue') return t.duties.overdueSince(-days, date);
  return days > COUNTED_DAYS ? t.duties.dueOn(date) : t.duties.dueIn(days, date);
}

/** "Every month, by an instructed person." */
export function everyLine({ every, by }: Pick<DutyView, 'every' | 'by'>): string {
  return t.duties.every(hostWords(every), hostWords(by));
}

/** "2 duties are overdue." */
export function dutiesHeadline(duties: readonly DutyView[]): string {
  const count = (state: DutyView['state']) => duties.filter((duty) => duty.state === state).length;
  const [overdue, due] = [count('overdue'), count('due')];
  if (overdue > 0) return due > 0 ? t.duties.overdueAndDue(overdue, due) : t.duties.overdue(overdue);
  return due > 0 ? t.duties.dueToday(due) : t.duties.nothingDue;
}

/** A line on Tonight about what people should have done. */
export interface PeopleLine {
  title: string;
  detail: string;
  /** UTC second since which it is known, 0 if the detail says it. */
  since: number;
  next: string;
}

/** What people are late with, and what they found that is not put right; nothing where there is nothing. */
export function peopleLines({ duties, findings }: DutiesView): PeopleLine[] {
  const said = t.attention;
  const lines: PeopleLine[] = [];
  const late = duties.filter(({ state }) => state === 'overdue').sort((a, b) => a.days - b.days);
  if (late.length > 0) {
    const line = `${hostWords(late[0].title)}, ${dueLine(late[0])}`;
    const detail = late.length === 1 ? `${line}.` : said.longest(line);
    lines.push({ title: said.duties(late.length), detail, since: 0, next: said.dutiesNext });
  }
  if (findings.length > 0) {
    const [oldest] = findings;
    const where = oldest.luminaire === '' ? hostWords(oldest.where) : oldest.luminaire;
    const line = `${where}: ${findingWords(oldest).replace(/\.$/, '')}`;
    const detail = findings.length === 1 ? `${line}.` : said.oldest(line);
    lines.push({
      title: said.findings(findings.length),
      detail,
      since: oldest.since,
      next: said.findingsNext,
    });
  }
  return lines;
}

/** That nothing is known of what people should have done. */
export function unknownLine(): PeopleLine {
  const { dutiesUnknown: title, dutiesUnknownMore: detail, dutiesUnknownNext: next } = t.attention;
  return { title, detail, since: 0, next };
}

/** Luminaires of a part of the building, with their places. */
export function luminairesIn(building: BuildingView, scope: string): { id: string; place: string }[] {
  const [kind, id] = scope.split(' ');
  return building.circuits.flatMap((circuit) =>
    circuit.luminaires.filter(
      (lamp) =>
        kind === 'site' || (kind === 'circuit' ? circuit.id === id : kind === 'area' && lamp.area === id),
    ),
  );
}

/** The parts for which a duty can be entered, with their names. */
export function scopeChoices(building: BuildingView, { byLuminaire }: DutyView): [string, string][] {
  const whole: [string, string] = ['site', t.duties.whole];
  if (!byLuminaire) return [whole];
  const areas = building.areas.map(({ id, name }): [string, string] => [`area ${id}`, t.duties.area(name)]);
  const circuits = building.circuits.map(({ id, name }): [string, string] => [
    `circuit ${id}`,
    t.duties.circuit(id, name),
  ]);
  return [whole, ...areas, ...circuits];
}

/** The draft with every point that has no answer yet in order. */
export function restInOrder(draft: Draft, { points }: Pick<DutyView, 'points'>): Draft {
  const rest = points.filter(({ id }) => (draft.points[id] ?? NO_ANSWER).mark === '');
  const inOrder = rest.map(({ id }) => [id, { ...NO_ANSWER, mark: 'in order' as const }]);
  return { ...draft, points: { ...draft.points, ...Object.fromEntries(inOrder) } };
}

/** What must still be filled in or changed, one sentence; '' if the form can be entered. */
export function draftMistake(
  draft: Draft,
  { points }: Pick<DutyView, 'points'>,
  zone: string,
  now: number,
): string {
  const answers = points.map(({ id, words }) => ({ asked: words, ...(draft.points[id] ?? NO_ANSWER) }));
  const open = answers.filter(({ mark }) => mark === '').length;
  if (open > 0) return t.duties.unanswered(open);
  const bare = answers.find(
    (one) => one.mark === 'not in order' && one.luminaires.length === 0 && one.words.trim() === '',
  );
  if (bare) return t.duties.sayWhat(hostWords(bare.asked));
  const long = [draft.words, ...answers.map(({ words }) => words)].map(plainText).find(isLong);
  if (long !== undefined) return t.duties.tooLong(WORDS_MAX, long.slice(0, 20));
  const name = orderName(draft.who);
  if (draft.who.trim() === '') return t.duties.nameMissing;
  if (name.mistake !== '') return name.mistake;
  if (draft.done === '') return '';
  const done = utcOfInput(draft.done, zone);
  if (Number.isNaN(done)) return t.duties.whenMissing;
  return done > now + 60 ? t.duties.notYet : '';
}

function isLong(words: string): boolean {
  return [...words].length > WORDS_MAX;
}

/** One sentence if an entry is longer than a host takes; '' if it is not. */
export function lengthMistake(request: InspectionRequest): string {
  return new TextEncoder().encode(JSON.stringify(request)).length > INSPECTION_BYTES
    ? t.duties.entryTooLong
    : '';
}

/** The draft for another part, without the luminaires that are not in it. */
export function withScope(draft: Draft, scope: string, building: BuildingView): Draft {
  const inside = new Set(luminairesIn(building, scope).map(({ id }) => id));
  const points = Object.entries(draft.points).map(([id, point]): [string, PointDraft] => [
    id,
    { ...point, luminaires: point.luminaires.filter((lamp) => inside.has(lamp)) },
  ]);
  return { ...draft, scope, points: Object.fromEntries(points) };
}

/** The entry of a form without mistakes. */
export function requestOf(
  draft: Draft,
  { id: duty, points }: Pick<DutyView, 'id' | 'points'>,
  { id, zone, now }: { id: string; zone: string; now: number },
): InspectionRequest {
  return {
    ...{ id, duty, scope: draft.scope, who: orderName(draft.who).who, words: plainText(draft.words) },
    done: Math.floor(draft.done === '' ? now : utcOfInput(draft.done, zone)),
    points: points.map(({ id: point }) => {
      const { mark, luminaires, words } = draft.points[point];
      const isBad = mark === 'not in order';
      return {
        ...{ point, mark: mark as AnswerMark, words: isBad ? plainText(words) : '' },
        luminaires: isBad ? luminaires : [],
      };
    }),
  };
}

/** What was found, without the place: "dusty", or what was asked where nothing more was said. */
export function findingWords({ words, asked }: FindingView): string {
  return words === '' ? t.duties.notSo(hostWords(asked)) : words;
}
