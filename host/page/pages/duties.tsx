// What people must look at, what is due first, what they found, and what still waits on this device.
import type { JSX } from 'preact';
import { useContext } from 'preact/hooks';
import type { DutyView } from '../../api/duties';
import { Found } from '../parts/found';
import { FromHost } from '../parts/fromHost';
import { Mark } from '../parts/mark';
import { OutboxContext, usePage } from '../state/hooks';
import type { Pending } from '../state/outbox';
import { t } from '../tongues/tongue';
import { dueLine, dutiesHeadline, dutyTone, everyLine } from '../words/duties';
import { hostWords } from '../words/hostWords';
import { dutyLink } from '../words/route';
import { dayAndTime, dayOf } from '../words/time';

function left({ left: named, leftCount }: DutyView): string {
  return t.duties.left(named.join(', '), leftCount - named.length);
}

function Duty({ duty, zone }: { duty: DutyView; zone: string }): JSX.Element {
  const { id, state, last } = duty;
  const title = hostWords(duty.title);
  const tone = dutyTone(duty);
  return (
    <li class={`duty ${tone}`}>
      <h2>{title}</h2>
      <p>
        <Mark tone={tone} word={dueLine(duty)} />
      </p>
      <p class="quiet">
        {everyLine(duty)} {last ? t.duties.last(dayOf(last.done, zone), last.who) : t.duties.never}
      </p>
      {duty.leftCount > 0 ? <p>{left(duty)}</p> : null}
      <a class={state === 'overdue' || state === 'due' ? 'press sure' : 'press'} href={dutyLink(id)}>
        {t.duties.enter}
        <span class="unseen"> {title}</span>
      </a>
    </li>
  );
}

function Waiting({ entry, said, zone }: { entry: Pending; said: string; zone: string }): JSX.Element {
  const outbox = useContext(OutboxContext);
  const { n, title, request, refused } = entry;
  return (
    <li>
      <p>{t.duties.doneBy(hostWords(title), dayAndTime(request.done, zone), request.who)}</p>
      {refused === '' ? null : (
        <>
          <p class="mistake">
            {t.duties.refuses} <FromHost text={refused} />
          </p>
          <button type="button" class="plain" onClick={() => void outbox?.retry(n)}>
            {t.duties.sendAgain}
          </button>
        </>
      )}
      {refused === '' && said !== '' ? (
        <p>
          {t.duties.notTaken} <FromHost text={said} />
        </p>
      ) : null}
      <details>
        <summary>{t.duties.all}</summary>
        <pre lang="en">{JSON.stringify(request, null, 1)}</pre>
        <button type="button" class="plain" onClick={() => void outbox?.discard(n)}>
          {t.duties.remove}
        </button>
      </details>
    </li>
  );
}

function Outgoing({ zone }: { zone: string }): JSX.Element | null {
  const { pending, stored, said } = usePage().outbox;
  const waiting = pending.filter(({ refused }) => refused === '').length;
  return (
    <section aria-label={t.duties.outgoing}>
      <p role="status">{waiting === 0 && stored !== '' ? <FromHost text={stored} /> : null}</p>
      {pending.length === 0 ? null : (
        <>
          <h2>{t.duties.onDevice}</h2>
          {waiting === 0 ? null : (
            <p>
              {t.banners.waiting(waiting)} {t.duties.nothingLost}
            </p>
          )}
          <ol class="findings outgoing">
            {pending.map((entry) => (
              <Waiting key={entry.n} entry={entry} said={said.get(entry.n) ?? ''} zone={zone} />
            ))}
          </ol>
        </>
      )}
    </section>
  );
}

/** Page of the duties. */
export function DutiesPage(): JSX.Element {
  const { duties, building } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  return (
    <>
      <h1>{duties ? dutiesHeadline(duties.duties) : t.frame.duties}</h1>
      <p>{t.duties.intro}</p>
      <Outgoing zone={zone} />
      {duties ? (
        <>
          <Found />
          <ul class="duties">
            {duties.duties.map((duty) => (
              <Duty key={duty.id} duty={duty} zone={zone} />
            ))}
          </ul>
        </>
      ) : (
        <p>{t.frame.loading}</p>
      )}
    </>
  );
}
