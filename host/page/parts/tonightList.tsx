// Tests of the current or coming night.
import type { JSX } from 'preact';
import type { TonightTest } from '../../api/views';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { kindName } from '../words/kinds';
import { circuitLink } from '../words/route';
import { nightSpan } from '../words/time';
import { testTone } from '../words/tone';
import { Mark } from './mark';

function Row({ test }: { test: TonightTest }): JSX.Element {
  const { building } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  const name = building?.circuits.find((c) => c.id === test.circuit)?.name ?? '';
  return (
    <tr>
      <td>{nightSpan(test.start, test.end, zone)}</td>
      <th scope="row">
        <a href={circuitLink(test.circuit)}>{test.circuit}</a> <span class="quiet">{name}</span>
      </th>
      <td>{kindName(test.kind)}</td>
      <td>
        <Mark tone={testTone(test.state)} word={t.tests[test.state]} />
      </td>
    </tr>
  );
}

/** The list, by time. */
export function TonightList({ tests }: { tests: TonightTest[] }): JSX.Element {
  if (tests.length === 0) return <p>{t.tonight.nonePlanned}</p>;
  const sorted = [...tests].sort((a, b) => a.start - b.start || a.circuit.localeCompare(b.circuit));
  return (
    <table class="tonight">
      <thead>
        <tr>
          <th scope="col">{t.tonight.window}</th>
          <th scope="col">{t.tonight.circuit}</th>
          <th scope="col">{t.tonight.test}</th>
          <th scope="col">{t.tonight.state}</th>
        </tr>
      </thead>
      <tbody>
        {sorted.map((one) => (
          <Row key={`${one.circuit} ${one.test} ${one.start}`} test={one} />
        ))}
      </tbody>
    </table>
  );
}
