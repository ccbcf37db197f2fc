// The risk notice alone: to print and post at the entrance.
import type { JSX } from 'preact';
import { RiskText, riskTitle } from '../parts/riskBand';
import { usePage } from '../state/hooks';
import { dayAndTime } from '../words/time';

/** The notice at this moment. */
export function NoticePage(): JSX.Element {
  const { building, status } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  const notice = status?.notice;
  return (
    <div class="notice">
      <h1>Emergency lighting notice</h1>
      {notice ? (
        <>
          <h2>{riskTitle(notice)}</h2>
          <p>
            {building?.name}, as of {dayAndTime(notice.at, zone)}.
          </p>
          {notice.entries.length > 0 ? <RiskText notice={notice} /> : <p>No test is planned for tonight.</p>}
          <ul>
            {notice.unknown.map(({ circuit, sentence }) => (
              <li key={circuit}>{sentence}</li>
            ))}
          </ul>
          <p>
            <button type="button" onClick={() => print()}>
              Print
            </button>
          </p>
        </>
      ) : null}
    </div>
  );
}
