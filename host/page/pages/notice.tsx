// The risk notice alone, in large type: to print and put up at the entrances.
import type { JSX } from 'preact';
import { FromHost } from '../parts/fromHost';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
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
      <h1>{t.notice.title}</h1>
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
          {notice.ifPowerFails === '' ? null : (
            <p class="if-fails">
              <FromHost text={notice.ifPowerFails} />
            </p>
          )}
          <p class="take-down">{takeDownWords(known, building.responsible, zone)}</p>
          <p class="quiet made">{t.notice.written(building.name, dayAndTime(notice.at, zone))}</p>
          <p>
            <button type="button" onClick={() => print()}>
              {t.notice.print}
            </button>
          </p>
        </>
      ) : null}
    </div>
  );
}
