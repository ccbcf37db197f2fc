// The text of docs/duties.md.
import { profiles } from '../profiles/profile';
import type { FormName } from '../profiles/rule';
import { type Row, row } from '../profiles/table';
import { COMMON } from './common';
import { type DatedDuty, dutiesUnder, intervalWords } from './duties';
import { FORMS } from './forms';

const HEAD = `# Duties of people

Made from the data in \`host/profiles\` and \`host/duties\`; do not edit by hand. After a change there, write it again
with \`WRITE_DUTIES_DOC=1 npm test -- tests/host/duties\`.

An automatic test sees currents. It does not see a luminaire that is dirty, hidden by a shelf or gone, a sign that points
the wrong way, or a place where nobody can see where to go. Only people see these. For each rule profile, this is what
they must do, how often, and where that is written; most rules were read in summaries by others. None of it
claims that anything complies with any rule. Local rules prevail.

- **Enter what was seen** on the page \`#/duties\`, on a phone while walking, or with \`npm run -s nightproof -- inspected\`. The log book
  stores who looked, when, which part of the site, and for each point whether it was in order. \`npm run -s nightproof -- duties\` lists what
  is due.
- **Parts.** A walk may be entered area by area, circuit by circuit or luminaire by luminaire. It is due again when the first
  luminaire is.
- **Dates** are dates of the building. Done on 31 January, a monthly duty is due on the last day of February. What was never entered
  is counted from the day the log book began; what comes once is due from that day.
- **New luminaires.** A walk has seen only the luminaires that were in the site when it was done, as the lists in the log book say;
  one that came later is due an interval after it came. In a circuit to which it was moved, it has not been seen yet.
  The lists have no areas: a move to another area counts only if it was changed on the page. After one in the site file itself,
  look at the luminaire again.
- **"Not in order"** stays on the list of findings until the same point of the same place has been entered as in order. A look is
  done all the same: it is due again after its interval. Findings count as open in reports, and stand on the page \`#/defects\` too.
  A finding keeps to its luminaire under a new id, and ends only with a look at a part of the site that had the luminaire at that
  time; that of a luminaire that is gone ends with a look at the circuit that had it.
- **What attests a state** stays due while an entry leaves a point not in order, or finds that no point applies: handover,
  measurement of the light, and who does this work. Each form below says which of the two it is.
- **Late entries** count from the time at which they were done. The same entry sent twice is stored once.
- **A wrong entry** is withdrawn, and then was not made ([operating.md](operating.md#an-entry-made-by-mistake)).
- **Each day**: the standards ask for a daily look at the indicators of a central supply, so that duty is only there with
  \`centralSupply: true\` in the site file. For luminaires with their own batteries we read of none: what needs
  attention stands on the page at any time.`;

const POINTS = `## What each form asks

The points are common practice, no source, where the rule itself does not name them. Who may do it is common practice too: an instructed
person for looks and walks, a competent one for the rest (a German table for these tests says the same; from a summary).`;

function places(form: FormName): string {
  const named = profiles.filter((profile) => dutiesUnder(profile).some(({ id }) => id === form));
  return named.length === profiles.length
    ? 'every profile'
    : named.map(({ name }) => `\`${name}\``).join(', ');
}

function ruleRows({ id, rule, interval }: DatedDuty): string {
  const what: Row = row(rule.every, rule, (words) => words);
  const when: Row = row(rule.every, rule.due.interval, () => intervalWords(interval));
  return `| \`${id}\` | ${what.value} | ${what.source || '–'}: ${what.status} | ${when.value} | ${when.status} |`;
}

const TABLE = '| duty | what | source | due | trust in the interval |\n| --- | --- | --- | --- | --- |';

function section(title: string, duties: DatedDuty[]): string {
  return `## ${title}\n\n${[TABLE, ...duties.map(ruleRows)].join('\n')}`;
}

function formText(name: FormName): string {
  const { title, by, byLuminaire, points, untilInOrder } = FORMS[name];
  const until = untilInOrder ? 'Stays due until it is in order' : 'Done once looked at';
  const parts = byLuminaire ? 'the whole site or parts of it' : 'the whole site';
  const lines = points.map(({ id, words }) => `- \`${id}\`: ${words}`);
  return `### \`${name}\`: ${title}\n\nBy ${by}; for ${parts}. ${until}. Under ${places(name)}.\n\n${lines.join('\n')}`;
}

/** The whole text of docs/duties.md. */
export function dutiesDocument(): string {
  const common = new Set(COMMON.map(({ duty }) => duty));
  const shared = dutiesUnder({ ...profiles[0], duties: [] });
  const own = profiles
    .map((profile) => ({ profile, duties: dutiesUnder(profile).filter(({ rule }) => !common.has(rule)) }))
    .filter(({ duties }) => duties.length > 0);
  const forms = (Object.keys(FORMS) as FormName[]).map(formText);
  const lacking = section('Under every profile that has no such duty of its own', shared);
  const sections = own.map(({ profile, duties }) => section(`\`${profile.name}\``, duties));
  return `${[HEAD, lacking, ...sections, POINTS, ...forms].join('\n\n')}\n`;
}
