// The picture of a floor plan with a mark for each luminaire on it. The picture may be anybody's drawing: it is shown as
// an image, always on white, because most are black lines on nothing.
import type { ComponentChildren, JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { FloorPlan, Spot } from '../../site/model';
import { here } from '../state/base';
import { t } from '../tongues/tongue';
import { markName, type Shown } from '../words/floor';
import { luminaireLink } from '../words/route';
import { Shape } from './mark';

/** Plans with more marks show the id of those only that need somebody. */
const NAMED_MAX = 60;

/** Percent of a picture as a place in it. */
export function placeStyle({ across, down }: Spot): { left: string; top: string } {
  return { left: `${across}%`, top: `${down}%` };
}

function SpotMark(props: { shown: Shown; spot: Spot; isNamed: boolean; isSought: boolean }): JSX.Element {
  const { shown, spot, isNamed, isSought } = props;
  const { luminaire, state } = shown;
  const name = markName(shown);
  return (
    <li style={placeStyle(spot)}>
      <a
        class={`spot ${state.tone}${isSought ? ' sought' : ''}`}
        href={luminaireLink(luminaire.id)}
        title={name}
        aria-label={name}
      >
        <Shape tone={state.tone} figure={state.figure} />
        {isNamed ? <span class="spot-id">{luminaire.id}</span> : null}
      </a>
    </li>
  );
}

type Loaded = 'loading' | 'shown' | 'failed';

/** Scrolls the box of a picture sideways, so that a place on it can be seen on a phone. */
function scrollTo(image: HTMLImageElement, { across }: Spot): void {
  const box = image.closest('.plan-box');
  if (box) box.scrollLeft = image.offsetLeft + (across / 100) * image.width - box.clientWidth / 2;
}

/**
 * The picture in a box that scrolls where the screen is narrower, from the beginning to `towards`; `children` once it
 * can be seen. One for each plan.
 */
export function Picture(props: {
  plan: FloorPlan;
  towards: Spot | undefined;
  children: ComponentChildren;
}): JSX.Element {
  const { plan, towards, children } = props;
  const [loaded, setLoaded] = useState<Loaded>('loading');
  if (loaded === 'failed')
    return (
      <p class="plan-box" role="alert">
        {t.floor.noPicture} <code>nightproof check</code> {t.floor.noPictureMore}
      </p>
    );
  return (
    <div class="plan-box">
      <div class="plan-paper">
        <img
          src={here(`/floor-plans/${encodeURIComponent(plan.id)}`)}
          alt={t.floor.picture(plan.name)}
          onLoad={({ currentTarget }) => {
            setLoaded('shown');
            if (towards) scrollTo(currentTarget, towards);
          }}
          onError={() => setLoaded('failed')}
        />
        {loaded === 'shown' ? children : null}
      </div>
    </div>
  );
}

/** The marks; the most urgent lie on top, and come first with a keyboard. */
export function Marks({ shown, sought }: { shown: Shown[]; sought: string }): JSX.Element {
  return (
    <ul class="spots" aria-label={t.floor.lamps}>
      {shown.map((one) => {
        const { spot, id } = one.luminaire;
        const isNamed = shown.length <= NAMED_MAX || one.state.tone !== 'good' || id === sought;
        return spot ? (
          <SpotMark key={id} shown={one} spot={spot} isNamed={isNamed} isSought={id === sought} />
        ) : null;
      })}
    </ul>
  );
}
