// A text that comes from the host: in the language of the page where that has it, and marked as English where not.
import type { JSX } from 'preact';
import { capital } from '../../words/capital';
import { t } from '../tongues/tongue';
import { hostWords } from '../words/hostWords';

/** Readable aloud in any language. */
export function FromHost({ text, isCapital }: { text: string; isCapital?: boolean }): JSX.Element {
  const words = hostWords(text);
  const lang = t.lang !== 'en' && words === text ? 'en' : undefined;
  return <span lang={lang}>{isCapital ? capital(words) : words}</span>;
}
