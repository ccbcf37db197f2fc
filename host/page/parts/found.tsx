// What people found not in order, and have not entered as in order since.
import type { JSX } from 'preact';
import type { FindingView } from '../../api/duties';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { findingWords } from '../words/duties';
import { hostWords } from '../words/hostWords';
import { luminaireLink } from '../words/route';
import { dayOf } from '../words/time';
import { FromHost } from './fromHost';

function Finding({ finding, zone }: { finding: FindingView; zone: string }): JSX.Element {
  const { luminaire, where, who, since, duty } = finding;
  return (
    <li>
      <p>
        <strong>
          {luminaire === '' ? hostWords(where) : <a href={luminaireLink(luminaire)}>{luminaire}</a>}
        </strong>
        : {findingWords(finding)}
      </p>
      <p class="quiet">
        {t.duties.foundBy(who, dayOf(since, zone))} <FromHost text={duty} />.
      </p>
    </li>
  );
}

/** All that was found, or what was found at one luminaire; nothing where there is nothing. */
export function Found({ luminaire }: { luminaire?: string }): JSX.Element | null {
  const { duties, building } = usePage();
  const found =
    duties?.findings.filter((one) => luminaire === undefined || one.luminaire === luminaire) ?? [];
  if (found.length === 0) return null;
  return (
    <section aria-labelledby="found">
      <h2 id="found">{t.duties.found}</h2>
      <ul class="findings">
        {found.map((one) => (
          <Finding
            key={`${one.asked} ${one.luminaire} ${one.where}`}
            finding={one}
            zone={building?.timeZone ?? 'UTC'}
          />
        ))}
      </ul>
    </section>
  );
}
