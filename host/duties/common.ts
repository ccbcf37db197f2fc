// Duties under every rule profile that does not have its own: what standards of other countries ask, or what is good
// practice anyway. Where no text gives an interval, this says so.
import { due, dueByPractice, duty, MONTHLY, practice, type SourceDocument, YEARLY } from '../profiles/cite';
import type { Duty, FormName, Interval } from '../profiles/rule';

const CLAUSE_6: SourceDocument = { source: 'EN 50172:2004, from memory', year: 2004, status: 'M' };
const CLAUSE_7: SourceDocument = {
  source: 'EN 50172:2004, restated by contractors',
  year: 2004,
  status: 'V2',
};
const MODEL_FORMS: SourceDocument = { source: 'model completion certificates for BS 5266-1', status: 'V2' };

/** A duty without any source. */
function practised(form: FormName, interval: Interval, every: string, what: string): Duty {
  return { ...practice(what), every, due: { form, interval: practice(interval) } };
}

/** Duties that stand in for those a profile lacks, with the forms that make each of them unnecessary. */
export const COMMON: { duty: Duty; unless: FormName[] }[] = [
  {
    duty: practised('walk', MONTHLY, 'monthly', 'walk past every luminaire and sign, and look'),
    unless: ['walk', 'walk-and-rest', 'battery-look'],
  },
  {
    duty: practised('yearly', YEARLY, 'yearly', 'look over the installation and its papers'),
    unless: ['yearly', 'service'],
  },
  {
    duty: practised('photometric', { months: 60 }, 'every 5 years', 'measure the light on site'),
    unless: ['photometric'],
  },
  {
    duty: practised('key', YEARLY, 'yearly', 'see that the key of the test switch is where it is kept'),
    unless: ['key'],
  },
  {
    duty: dueByPractice(
      'alterations',
      YEARLY,
      duty(CLAUSE_6, 'at every alteration', 'enter alterations of the building and the installation', '6'),
    ),
    unless: ['alterations'],
  },
  {
    duty: dueByPractice(
      'competence',
      YEARLY,
      duty(CLAUSE_7, 'always', 'a competent person is appointed, who can have repairs done', '7.1'),
    ),
    unless: ['competence'],
  },
  {
    duty: due(
      'handover',
      'once',
      duty(
        MODEL_FORMS,
        'at completion',
        'hand over drawings, declarations, data of the light and instructions',
      ),
    ),
    unless: ['handover'],
  },
];
