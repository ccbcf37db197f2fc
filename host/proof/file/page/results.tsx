// The luminaire's tests and repairs.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { kindName } from '../../../words/codes';
import { lengthWord } from '../../../words/length';
import type { ProvenRepair, ProvenResult, Story } from '../story';
import { moment } from './words';

type Row = ({ is: 'test' } & ProvenResult) | ({ is: 'repair' } & ProvenRepair);

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

function RepairRow({ row, zone }: { row: ProvenRepair; zone: string }): JSX.Element {
  return (
    <tr>
      <td>{moment(row.at, zone)}</td>
      <td>repair</td>
      <td />
      <td />
      <td>
        {row.what || 'no details given'}, entered by {row.who}
      </td>
      <td>{row.entry}</td>
    </tr>
  );
}

const counted = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;

/** Newest first. */
export function Results({ story, zone }: { story: Story; zone: string }): JSX.Element {
  const [all, setAll] = useState(false);
  const tests = story.results.map((row): Row => ({ is: 'test', ...row }));
  const repairs = story.repairs.map((row): Row => ({ is: 'repair', ...row }));
  const rows = [...tests, ...repairs].sort((a, b) => b.at - a.at || b.entry - a.entry);
  const failed = story.results.filter(({ verdict }) => verdict === 'fail').length;
  return (
    <section>
      <h2>Tests and repairs</h2>
      <p>
        {counted(story.results.length, 'test')}, {failed} of them failed;{' '}
        {counted(story.repairs.length, 'repair')}. Times: {zone}.
      </p>
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
          {rows
            .slice(0, all ? rows.length : FIRST)
            .map((row) =>
              row.is === 'test' ? (
                <TestRow key={row.entry} row={row} zone={zone} />
              ) : (
                <RepairRow key={row.entry} row={row} zone={zone} />
              ),
            )}
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
