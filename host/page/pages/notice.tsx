// The risk notice alone, in large type: to print and put up at the entrances.
import type { JSX } from 'preact';
import { usePage } from '../state/hooks';
import { failedAreas, noticePlaces, noticeTitle, takeDownWords } from '../words/notice';
import { dayAndTime } from '../words/time';

/** The notice at this moment. */
export function NoticePage(): JSX.Element {
  const { building, status } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  const notice = status?.notice;
  const known = building &&
    status && { notice: status.notice, failed: failedAreas(building, status.controllers) };
  return (
    <div class="notice">
      <h1>Emergency lighting notice</h1>
      {known && notice ? (
        <>
          <h2>{noticeTitle(known)}</h2>
          <ul class="places">
            {noticePlaces(known, zone).map(({ areas, words }) => (
              <li key={`${areas} ${words}`}>
                <strong>{areas}</strong>
                <p>{words}</p>
              </li>
            ))}
          </ul>
          {notice.ifPowerFails === '' ? null : <p class="if-fails">{notice.ifPowerFails}</p>}
          <p class="take-down">{takeDownWords(known, building.responsible, zone)}</p>
          <p class="quiet made">
            {building.name}. Written {dayAndTime(notice.at, zone)}.
          </p>
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
