// The risk notice alone, in large type: to print and put up at the entrances.
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { NoticeView } from '../../api/notice';
import { FromHost } from '../parts/fromHost';
import { useAsked, usePage } from '../state/hooks';
import { askNotice } from '../state/session';
import { t } from '../tongues/tongue';
import { failedAreas, type Known, noticePlaces, noticeTitle, takeDownWords } from '../words/notice';
import { dayAndTime } from '../words/time';

/** The same for everyone in the building, who has no account. */
export function PublicNotice(): JSX.Element {
  const { value, problem } = useAsked(askNotice, 'notice', useRounds(ANEW_MS));
  return (
    <div class="notice">
      <h1>{t.notice.title}</h1>
      {problem === '' ? null : <p role="alert">{problem}</p>}
      {value ? <Notice known={value} building={value} /> : null}
      <p>
        <a href="#/">{t.signIn.title}</a>
      </p>
    </div>
  );
}

/** Time between two questions for the notice, ms. */
const ANEW_MS = 30_000;

/** A number that rises by one again and again. */
function useRounds(everyMs: number): number {
  const [round, setRound] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => setRound((n) => n + 1), everyMs);
    return () => clearInterval(timer);
  }, [everyMs]);
  return round;
}

function Notice(props: {
  known: Known;
  building: Pick<NoticeView, 'name' | 'timeZone' | 'responsible'>;
}): JSX.Element {
  const { known, building } = props;
  const { name, timeZone: zone, responsible } = building;
  const { notice } = known;
  return (
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
      <p class="take-down">{takeDownWords(known, responsible, zone)}</p>
      <p class="quiet made">{t.notice.written(name, dayAndTime(notice.at, zone))}</p>
      <p>
        <button type="button" onClick={() => print()}>
          {t.notice.print}
        </button>
      </p>
    </>
  );
}

/** The notice at this moment. */
export function NoticePage(): JSX.Element {
  const { building, status } = usePage();
  const known = building &&
    status && { notice: status.notice, failed: failedAreas(building, status.controllers) };
  return (
    <div class="notice">
      <h1>{t.notice.title}</h1>
      {known ? <Notice known={known} building={building} /> : null}
    </div>
  );
}
