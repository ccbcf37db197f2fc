// The site: what it consists of, and a form for each part of it.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { FormField, Item, Part, SiteFileData, SiteFileView } from '../../api/site';
import { FromHost } from '../parts/fromHost';
import { Mistake } from '../parts/mistake';
import { SiteForm } from '../parts/siteForm';
import { usePage, useStore } from '../state/hooks';
import { type SiteAsked, useSaving, useSite } from '../state/site';
import { t } from '../tongues/tongue';
import { siteLink } from '../words/route';
import {
  changeWords,
  circuitWords,
  formCaution,
  formTitle,
  keptWords,
  saidNow,
  takingWords,
} from '../words/site';
import { type FormPlace, itemOf, labelOf } from '../words/siteForm';

/** Why nothing can be changed, or that the host does not work with this file yet. */
function Standing({ view }: { view: SiteFileView }): JSX.Element | null {
  if (view.fixed !== '')
    return (
      <p class="note">
        <FromHost text={view.fixed} />
      </p>
    );
  if (view.taking) return <p class="note">{takingWords(view.taking)}</p>;
  if (view.inForce) return null;
  return <p class="note">{t.site.byHand(view.file)}</p>;
}

/** Changes that wait for others, and what was said to the last one saved. */
function Kept({ revision, look }: { revision: string; look: () => void }): JSX.Element {
  const store = useStore();
  const { siteDraft, siteSaid, orderedBy } = usePage();
  const { saveKept } = useSaving(revision);
  const [said, setSaid] = useState('');
  const isStale = siteDraft !== null && siteDraft.revision !== revision;
  const drop = () => store.change((s) => ({ ...s, siteDraft: null }));
  const again = async (): Promise<void> => {
    const outcome = await saveKept(orderedBy);
    setSaid(outcome.ok ? '' : outcome.answer);
    if (!outcome.ok && outcome.stale) look();
  };
  return (
    <>
      <p role="status" class={siteSaid ? 'note' : ''}>
        {siteSaid ? <FromHost text={siteSaid.answer} /> : null}
      </p>
      {siteDraft ? (
        <section class="against" aria-label={t.site.kept.label}>
          <p>
            <strong>{t.site.kept.label}:</strong> {siteDraft.changes.map(changeWords).join('; ')}.{' '}
            {keptWords(isStale)}
          </p>
          {said === '' ? null : <Mistake words={said} />}
          <div class="buttons">
            <button type="button" class="plain" onClick={again}>
              {isStale ? t.site.kept.tryNew : t.site.kept.tryAgain}
            </button>
            <button type="button" class="plain" onClick={drop}>
              {t.site.kept.giveUp}
            </button>
          </div>
        </section>
      ) : null}
    </>
  );
}

function Things(props: { part: Part; title: string; items: Item[]; add: string }): JSX.Element {
  const { part, title, items, add } = props;
  return (
    <section aria-label={title}>
      <h2>{title}</h2>
      <ul class="things">
        {items.map(({ id, name }) => (
          <li key={String(id)}>
            <a class="things-more" href={siteLink({ part, id: String(id) })}>
              {String(name)} ({String(id)})
            </a>
          </li>
        ))}
      </ul>
      <p>
        <a class="things-more" href={siteLink({ part, id: '' })}>
          {add}
        </a>
      </p>
    </section>
  );
}

function CircuitThings({ circuit }: { circuit: SiteFileData['circuits'][number] }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  const id = String(circuit.id);
  return (
    <details onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>
        <strong>{id}</strong> {circuitWords(circuit)}
      </summary>
      {isOpen ? (
        <>
          <p>
            <a class="things-more" href={siteLink({ part: 'circuits', id })}>
              {t.site.change.circuits(id)}
            </a>
          </p>
          <ul class="things">
            {circuit.luminaires.map((lamp) => (
              <li key={String(lamp.id)}>
                <a class="things-more" href={siteLink({ part: 'luminaires', id: String(lamp.id) })}>
                  {String(lamp.id)} {String(lamp.place)}
                </a>
              </li>
            ))}
          </ul>
          <p>
            <a class="things-more" href={siteLink({ part: 'luminaires', id: '', circuit: id })}>
              {t.site.addLuminaire(id)}
            </a>
          </p>
        </>
      ) : null}
    </details>
  );
}

/** What the building's own fields say. */
function Building({ data, fields }: { data: SiteFileData; fields: FormField[] }): JSX.Element {
  const said = fields
    .map((field) => ({ field, now: saidNow(field, data[field.name]) }))
    .filter(({ now }) => now !== '');
  return (
    <section aria-label={t.site.rules}>
      <h2>{t.site.rules}</h2>
      <dl class="site-facts">
        {said.map(({ field, now }) => (
          <div key={field.name}>
            <dt>{labelOf(field)}</dt>
            <dd>{now}</dd>
          </div>
        ))}
      </dl>
      <p>
        <a class="things-more" href={siteLink({ part: 'site', id: '' })}>
          {t.site.changeRules}
        </a>
      </p>
    </section>
  );
}

function Unread({ view, problem }: Pick<SiteAsked, 'view' | 'problem'>): JSX.Element {
  const why = problem !== '' ? problem : view?.fixed;
  return why ? (
    <p role="alert">
      <FromHost text={why} />
    </p>
  ) : (
    <p>{t.frame.loading}</p>
  );
}

/** The page of the site. */
export function SitePage(): JSX.Element {
  const { view, problem, data, again } = useSite();
  return (
    <>
      <h1>{t.site.title}</h1>
      <p>{t.site.intro}</p>
      {view && data ? (
        <>
          <Standing view={view} />
          <Kept revision={view.revision} look={again} />
          <Building data={data} fields={view.fields.site} />
          <section aria-label={t.site.circuits}>
            <h2>{t.site.circuits}</h2>
            {data.circuits.map((circuit) => (
              <CircuitThings key={String(circuit.id)} circuit={circuit} />
            ))}
            <p>
              <a class="things-more" href={siteLink({ part: 'circuits', id: '' })}>
                {t.site.addCircuit}
              </a>
            </p>
          </section>
          <Things part="areas" title={t.site.areas} items={data.areas} add={t.site.addArea} />
          <Things part="floors" title={t.site.floors} items={data.floors} add={t.site.addFloor} />
        </>
      ) : (
        <Unread view={view} problem={problem} />
      )}
    </>
  );
}

/** The page of one form. */
export function SiteFormPage({ place }: { place: FormPlace }): JSX.Element {
  const { view, problem, data, again } = useSite();
  const isThere = data !== null && itemOf(data, place) !== undefined;
  return (
    <>
      <p class="trail">
        <a href="#/site">{t.site.title}</a>
      </p>
      <h1>{formTitle(place)}</h1>
      <p>{formCaution(place)}</p>
      {view && data && isThere ? (
        <>
          <Standing view={view} />
          <SiteForm key={view.revision} {...{ place, view, data, again }} />
        </>
      ) : view && data ? (
        <p>{t.site.gone}</p>
      ) : (
        <Unread view={view} problem={problem} />
      )}
    </>
  );
}
