// The root of the log book as text and as a code, for paper: whoever keeps it can check the log book against it later.
import type { JSX } from 'preact';
import encode from 'qr';
import type { CheckpointView } from '../../api/views';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { inFours, rootCode } from '../words/root';
import { dayAndTime } from '../words/time';

/** The dark squares of a code as one path. */
function pathOf(rows: boolean[][]): string {
  return rows.flatMap((row, y) => row.flatMap((dark, x) => (dark ? [`M${x} ${y}h1v1h-1z`] : []))).join('');
}

function Code({ text }: { text: string }): JSX.Element {
  const rows = encode(text, 'raw', { ecc: 'medium', border: 4 });
  return (
    <svg class="root-code" viewBox={`0 0 ${rows.length} ${rows.length}`} role="img" aria-label={t.root.code}>
      <rect width={rows.length} height={rows.length} fill="#ffffff" />
      <path d={pathOf(rows)} fill="#000000" />
    </svg>
  );
}

function Root(props: { checkpoint: CheckpointView; zone: string; isShort: boolean }): JSX.Element {
  const { checkpoint, zone, isShort } = props;
  const { origin, size, root, at, key } = checkpoint;
  return (
    <section class="root" aria-label={t.root.label}>
      <Code text={rootCode(checkpoint)} />
      <div>
        <p>{t.root.head(origin, size, dayAndTime(at, zone))}</p>
        <p>
          <code class="root-text">{inFours(root)}</code>
        </p>
        {isShort ? null : (
          <>
            <p class="quiet">
              {t.root.key} <code>{key}</code>
            </p>
            <p class="quiet">{t.root.keep}</p>
            <p class="by-hand">{t.root.byHand}</p>
          </>
        )}
      </div>
    </section>
  );
}

/** The newest root; nothing before the first. Short: without what its reader may do with it. */
export function RootView({ isShort = false }: { isShort?: boolean }): JSX.Element | null {
  const { building, status } = usePage();
  const checkpoint = status?.checkpoint;
  return checkpoint ? (
    <Root checkpoint={checkpoint} zone={building?.timeZone ?? 'UTC'} isShort={isShort} />
  ) : null;
}
