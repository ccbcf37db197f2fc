// What people enter about a defect: who sees to it, by when, and what protects people until then. The newest
// entry replaces the one before, field by field as the person left it.
import { REMARK_MAX } from '../../api/defects';
import { dateAfter, isDate, localDate } from '../../site/civil';
import type { Site } from '../../site/model';
import { tidyText, unfit } from '../../words/freeText';
import { isWho, NAME_MAX, NAME_RULE } from '../../words/person';
import type { Decision, NewNote } from './notes';

/** An empty text means that nothing is entered there. */
export interface CareFields {
  /** '' means the circuit as a whole. */
  luminaire: string;
  /** Who sees to it. */
  owner: string;
  /** Local date, YYYY-MM-DD. */
  due: string;
  /** What protects people until it is repaired. */
  interim: string;
  /** Anything else, in free words. */
  words: string;
}

/** The same with who entered it last, and when. */
export interface Care extends Omit<CareFields, 'luminaire'> {
  /** Number of its entry in the log book. */
  entry: number;
  who: string;
  /** UTC second. */
  at: number;
}

/** A due date further away than this is a slip of the pen, days. */
const DUE_MAX_DAYS = 3653;

function dueRefusal(due: string, today: string): string {
  if (due === '') return '';
  if (!isDate(due)) return `The due date must be a real date written YYYY-MM-DD, but is "${due}".`;
  if (due < today) return `The due date ${due} is over; give today, ${today}, or a later date.`;
  const last = dateAfter(today, DUE_MAX_DAYS);
  return due > last ? `The due date ${due} is more than ten years away; give one up to ${last}.` : '';
}

export interface CareWish extends CareFields {
  site: Site;
  circuit: string;
  who: string;
  /** UTC second. */
  now: number;
  /** Whether the luminaire, or the circuit, has a defect that is not closed. */
  hasDefect: boolean;
  /** What was entered before: a due date that is over may stay, and all of it may be taken back. */
  before: Pick<CareFields, 'due'> | null;
}

/** The note to write, or why not, one sentence each. */
export function decideCare(wish: CareWish): Decision<NewNote & { fields: CareFields }> {
  const { site, circuit, luminaire, now, hasDefect } = wish;
  const what = luminaire === '' ? `Circuit ${circuit}` : `Luminaire ${luminaire}`;
  if (!hasDefect) return { refusals: [`${what} has no open defect.`] };
  const [who, owner, interim, words] = [wish.who, wish.owner, wish.interim, wish.words].map(tidyText);
  const due = wish.due.trim();
  const refusals = [
    isWho(who) ? '' : `Give your name, ${NAME_RULE}: the log book records who entered it.`,
    ...(
      [
        ['The owner', owner, NAME_MAX],
        ['The interim measure', interim, REMARK_MAX],
        ['The remark', words, REMARK_MAX],
      ] as const
    ).map(([name, text, most]) => {
      const why = unfit(text, most);
      return why === '' ? '' : `${name} ${why}.`;
    }),
    due === (wish.before?.due ?? '') ? '' : dueRefusal(due, localDate(site.timeZone, now)),
    wish.before === null && owner + due + interim + words === ''
      ? 'Give an owner, a due date, an interim measure or a remark; nothing was entered.'
      : '',
  ].filter((sentence) => sentence !== '');
  if (refusals.length > 0) return { refusals };
  const fields: CareFields = { luminaire, owner, due, interim, words };
  return { note: { address: `${site.id}/${circuit}`, kind: 'defect', at: now, who, fields } };
}

/** What was entered, as it follows the name of who did: "entered for the defect of E4: owner ..., due ...". */
export function careWords({ luminaire, owner, due, interim, words }: CareFields): string {
  const whose = luminaire === '' ? 'of this circuit' : `of ${luminaire}`;
  const parts = [
    owner === '' ? 'no owner' : `owner ${owner}`,
    due === '' ? 'no due date' : `due ${due}`,
    interim === '' ? 'no interim measure' : `interim measure: ${interim}`,
    ...(words === '' ? [] : [words]),
  ];
  return `entered for the defect ${whose}: ${parts.join('; ')}.`;
}
