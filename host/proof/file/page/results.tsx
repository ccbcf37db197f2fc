// The luminaire's tests and repairs, and the human checks of it.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { kindName } from '../../../words/codes';
import { lengthWord } from '../../../words/length';
import type { ProvenCheck, ProvenRepair, ProvenResult, Story } from '../story';
import { checkWords, moment } from './words';

type Row =
  | ({ is: 'test' } & ProvenResult)
  | ({ is: 'repair' } & ProvenRepair)
  | ({ is: 'check' } & ProvenCheck);

/** Rows shown at first. */
const FIRST = 200;

const VERDICTS = { pass: 'Pass', fail: 'Fail', void: 'Void', open: 'Open' };

function TestRow({ row, zone }: { row: ProvenResult; zone: string }): JSX.Element {
  return (
    <tr>
      <td>{moment(row.at, zone)}</td>
      <td>{kindName(row.kind)}</td>
      <td>
        <span class={`verdict-word ${row.verdict}`}>{VERDICTS[row.verdict]}</span>
      </td>
      <td>{lengthWord(row.seconds)}</td>
      <td>{row.reason}</td>
      <td>{row.entry}</td>
    </tr>
  );
}

function EnteredRow(props: { row: ProvenRepair | ProvenCheck; zone: string; what: string }): JSX.Element {
  const { row, zone, what } = props;
  return (
    <tr>
      <td>{moment(row.at, zone)}</td>
      <td>{what}</td>
      <td />
      <td />
      <td>
        {'title' in row ? checkWords(row) : row.what || 'no details given'}, entered by {row.who}
        {row.withdrawn === '' ? null : <strong>. Withdrawn by {row.withdrawn}</strong>}
      </td>
      <td>{row.entry}</td>
    </tr>
  );
}

function RowOf({ row, zone }: { row: Row; zone: string }): JSX.Element {
  if (row.is === 'test') return <TestRow row={row} zone={zone} />;
  return <EnteredRow row={row} zone={zone} what={row.is === 'repair' ? 'repair' : 'human check'} />;
}

const counted = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;

/** Newest first. */
export function Results({ story, zone }: { story: Story; zone: string }): JSX.Element {
  const [all, setAll] = useState(false);
  const tests = story.results.map((row): Row => ({ is: 'test', ...row }));
  const repairs = story.repairs.map((row): Row => ({ is: 'repair', ...row }));
  const checks = story.checks.map((row): Row => ({ is: 'check', ...row }));
  const rows = [...tests, ...repairs, ...checks].sort((a, b) => b.at - a.at || b.entry - a.entry);
  const failed = story.results.filter(({ verdict }) => verdict === 'fail').length;
  return (
    <section>
      <h2>Tests, repairs and human checks</h2>
      <p>
        {counted(story.results.length, 'test')}, {failed} of them failed;{' '}
        {counted(story.repairs.length, 'repair')}; {counted(story.checks.length, 'human check')}. Times:{' '}
        {zone}.
      </p>
      {story.checks.some(({ scope }) => scope.startsWith('area ')) ? (
        <p>Checks of an area are listed whether or not the luminaire is in it: no record says that.</p>
      ) : null}
      <table>
        <thead>
          <tr>
            <th>When</th>
            <th>What</th>
            <th>Verdict</th>
            <th>Lit for</th>
            <th>Reason, or what was done</th>
            <th>Entry</th>
          </tr>
        </thead>
        <tbody>
          {rows.slice(0, all ? rows.length : FIRST).map((row) => (
            <RowOf key={row.entry} row={row} zone={zone} />
          ))}
        </tbody>
      </table>
      {rows.length > FIRST && !all ? (
        <button type="button" onClick={() => setAll(true)}>
          Show all {rows.length}
        </button>
      ) : null}
    </section>
  );
}
