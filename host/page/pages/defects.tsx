// Everything defective: open first, the oldest first, then what has been closed.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { DefectsView } from '../../api/defects';
import { DefectCard } from '../parts/defectCard';
import { Found } from '../parts/found';
import { OrderOutcomeNote } from '../parts/order';
import { useAsked, usePage } from '../state/hooks';
import { askDefects } from '../state/host';
import { t } from '../tongues/tongue';
import { defectsTally, defectsTitle, retestNews } from '../words/defects';

const CLOSED_SHOWN = 10;
/** Open ones shown at first, and with each wish for more. */
const OPEN_SHOWN = 100;

interface Shown {
  view: DefectsView;
  skip: number;
  onSkip: (skip: number) => void;
  onEntered: () => void;
}

function Closed({ view, skip, onSkip, onEntered }: Shown): JSX.Element | null {
  const { closed, closedTotal, forgotten } = view;
  if (closedTotal === 0) return null;
  const last = skip + closed.length;
  return (
    <section aria-labelledby="closed">
      <h2 id="closed">{t.defects.closedRange(skip + 1, last, closedTotal)}</h2>
      <ul class="defects">
        {closed.map((one) => (
          <DefectCard key={`${one.luminaire} ${one.entry}`} defect={one} onEntered={onEntered} isListed />
        ))}
      </ul>
      <div class="buttons">
        {skip > 0 ? (
          <button type="button" class="plain" onClick={() => onSkip(Math.max(0, skip - CLOSED_SHOWN))}>
            {t.defects.newer}
          </button>
        ) : null}
        {last < closedTotal ? (
          <button type="button" class="plain" onClick={() => onSkip(last)}>
            {t.defects.older}
          </button>
        ) : null}
      </div>
      {forgotten > 0 ? <p class="quiet">{t.defects.forgotten(forgotten)}</p> : null}
    </section>
  );
}

/** Shows more open defects, or all; nothing where all are shown. */
function More({ view, onShown }: Pick<Shown, 'view'> & { onShown: (shown: number | null) => void }) {
  const { failed, luminaires, circuits } = view.counts;
  const all = failed + luminaires + circuits;
  const shown = view.open.length;
  if (shown >= all) return null;
  return (
    <div class="buttons">
      <button type="button" class="plain" onClick={() => onShown(shown + OPEN_SHOWN)}>
        {t.defects.more(Math.min(OPEN_SHOWN, all - shown))}
      </button>
      <button type="button" class="plain" onClick={() => onShown(null)}>
        {t.defects.all(all)}
      </button>
    </div>
  );
}

/** The page of all defects. */
export function DefectsPage(): JSX.Element {
  const { entriesHeard, status } = usePage();
  const [shown, onShown] = useState<number | null>(OPEN_SHOWN);
  const [skip, onSkip] = useState(0);
  const [entered, setEntered] = useState(0);
  const news = `${entriesHeard + entered} ${retestNews(status?.controllers ?? [])}`;
  const asked = useAsked(() => askDefects(shown, skip, CLOSED_SHOWN), `${shown} ${skip}`, news);
  const [known, setKnown] = useState<DefectsView | null>(null);
  if (asked.value !== null && asked.value !== known) setKnown(asked.value);
  const view = asked.value ?? known;
  if (!view)
    return (
      <>
        <h1>{t.frame.defects}</h1>
        <p role={asked.problem === '' ? undefined : 'alert'}>{asked.problem || t.frame.loading}</p>
      </>
    );
  const onEntered = () => setEntered((n) => n + 1);
  return (
    <>
      <h1>{defectsTitle(view.counts)}</h1>
      <p class="tally">{defectsTally(view.counts)}</p>
      <OrderOutcomeNote />
      {view.open.length > 0 ? <h2 class="unseen">{t.defects.open}</h2> : null}
      <ul class="defects">
        {view.open.map((one) => (
          <DefectCard
            key={`${one.circuit} ${one.luminaire} ${one.entry}`}
            defect={one}
            onEntered={onEntered}
            isListed
          />
        ))}
      </ul>
      <More view={view} onShown={onShown} />
      <Found />
      <Closed {...{ view, skip, onSkip, onEntered }} />
    </>
  );
}
