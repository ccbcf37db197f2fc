// What people must look at, what is due first, what they found, and what still waits on this device.
import type { JSX } from 'preact';
import { useContext } from 'preact/hooks';
import type { DutyView } from '../../api/duties';
import { Found } from '../parts/found';
import { Mark } from '../parts/mark';
import { OutboxContext, usePage } from '../state/hooks';
import type { Pending } from '../state/outbox';
import { dueLine, dutiesHeadline, dutyTone, everyLine, waitingWords } from '../words/duties';
import { dutyLink } from '../words/route';
import { dayAndTime, dayOf } from '../words/time';

function left({ left: named, leftCount }: DutyView): string {
  const more = leftCount > named.length ? ` and ${leftCount - named.length} more` : '';
  return `Still to see: ${named.join(', ')}${more}.`;
}

function Duty({ duty, zone }: { duty: DutyView; zone: string }): JSX.Element {
  const { id, title, state, last } = duty;
  const tone = dutyTone(duty);
  return (
    <li class={`duty ${tone}`}>
      <h2>{title}</h2>
      <p>
        <Mark tone={tone} word={dueLine(duty)} />
      </p>
      <p class="quiet">
        {everyLine(duty)} {last ? `Last on ${dayOf(last.done, zone)}, ${last.who}.` : 'Never entered.'}
      </p>
      {duty.leftCount > 0 ? <p>{left(duty)}</p> : null}
      <a class={state === 'overdue' || state === 'due' ? 'press sure' : 'press'} href={dutyLink(id)}>
        Enter<span class="unseen"> {title}</span>
      </a>
    </li>
  );
}

function Waiting({ entry, said, zone }: { entry: Pending; said: string; zone: string }): JSX.Element {
  const outbox = useContext(OutboxContext);
  const { n, title, request, refused } = entry;
  return (
    <li>
      <p>
        {title}, done {dayAndTime(request.done, zone)} by {request.who}.
      </p>
      {refused === '' ? null : (
        <>
          <p class="mistake">The host refuses it: {refused}</p>
          <button type="button" class="plain" onClick={() => void outbox?.retry(n)}>
            Send it again
          </button>
        </>
      )}
      {refused === '' && said !== '' ? <p>Not taken yet: {said}</p> : null}
      <details>
        <summary>All that was entered</summary>
        <pre>{JSON.stringify(request, null, 1)}</pre>
        <button type="button" class="plain" onClick={() => void outbox?.discard(n)}>
          Remove it from this device
        </button>
      </details>
    </li>
  );
}

function Outgoing({ zone }: { zone: string }): JSX.Element | null {
  const { pending, stored, said } = usePage().outbox;
  const waiting = pending.filter(({ refused }) => refused === '').length;
  return (
    <section aria-label="Entries on this device">
      <p role="status">{waiting === 0 && stored !== '' ? <strong>{stored}</strong> : null}</p>
      {pending.length === 0 ? null : (
        <>
          <h2>On this device, not yet in the log book</h2>
          {waiting === 0 ? null : <p>{waitingWords(waiting)} Nothing is lost if you close the page.</p>}
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
      <h1>{duties ? dutiesHeadline(duties.duties) : 'Duties'}</h1>
      <p>No test sees dirt, a hidden sign or a missing luminaire. People do.</p>
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
        <p>Loading…</p>
      )}
    </>
  );
}
