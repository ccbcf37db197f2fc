// What needs attention, row by row: where, what, since when, and what to do next.
import type { JSX } from 'preact';
import { useNow, usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import type { PeopleLine } from '../words/duties';
import { circuitLink, luminaireLink } from '../words/route';
import { type Concern, nextWords, placeOf, sinceWords } from '../words/urgency';
import { Shape } from './mark';

function ConcernLine({ concern, now }: { concern: Concern; now: number }): JSX.Element {
  const { building } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  const id = concern.luminaire === '' ? concern.circuit : concern.luminaire;
  const link = concern.luminaire === '' ? circuitLink(id) : luminaireLink(id);
  return (
    <li>
      <Shape tone="fault" />
      <p>
        <a href={link}>{id}</a> {placeOf(concern, building?.circuits ?? [])}
      </p>
      <p>
        <strong>{concern.title}.</strong> {concern.detail}{' '}
        <span class="quiet">{sinceWords(concern, now, zone)}</span>
      </p>
      <p>
        <span class="quiet">{t.attention.next}</span> {nextWords(concern, zone)}
      </p>
    </li>
  );
}

function People({ line, now }: { line: PeopleLine; now: number }): JSX.Element {
  const { building } = usePage();
  return (
    <li>
      <Shape tone="fault" />
      <p>
        <a href="#/duties">{t.frame.duties}</a>
      </p>
      <p>
        <strong>{line.title}.</strong> {line.detail}{' '}
        <span class="quiet">{sinceWords(line, now, building?.timeZone ?? 'UTC')}</span>
      </p>
      <p>
        <span class="quiet">{t.attention.next}</span> {line.next}
      </p>
    </li>
  );
}

/** What needs attention in the circuits, then what people should have done; nothing if there is neither. */
export function Attention({ list, people }: { list: Concern[]; people: PeopleLine[] }): JSX.Element | null {
  const now = useNow();
  if (list.length + people.length === 0) return null;
  return (
    <section aria-labelledby="attention">
      <h2 id="attention">{t.attention.title}</h2>
      <ul class="concerns">
        {list.map((c) => (
          <ConcernLine key={`${c.circuit} ${c.luminaire} ${c.title}`} concern={c} now={now} />
        ))}
        {people.map((line) => (
          <People key={line.next} line={line} now={now} />
        ))}
      </ul>
      {list.length === 0 ? null : (
        <p>
          <a href="#/defects">{t.attention.allDefects}</a>
        </p>
      )}
    </section>
  );
}
