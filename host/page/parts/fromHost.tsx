// A text that comes from the host: in the language of the page where that has it, and marked as English where not.
import type { JSX } from 'preact';
import { t } from '../tongues/tongue';
import { hostWords } from '../words/hostWords';

/** Readable aloud in any language. */
export function FromHost({ text }: { text: string }): JSX.Element {
  const words = hostWords(text);
  return <span lang={t.lang !== 'en' && words === text ? 'en' : undefined}>{words}</span>;
}
