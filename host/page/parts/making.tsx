// Asking the host for a report or labels, and handing the file to the reader.
import type { ComponentChildren, JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { LabelsRequest } from '../../api/labels';
import { fetchFile } from '../state/host';
import { t } from '../tongues/tongue';
import { datesMistake, fileName, type ReportWish } from '../words/report';

/** Hands a file to the reader under a name. */
function keep(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // The browser has to have taken it before.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

export interface Making {
  making: boolean;
  said: string;
  mistake: string;
}

type Wish = ReportWish | LabelsRequest;

/** Makes files, one after the other, and says how it went. @param site id of the building */
export function useMaking(site: string): Making & { make(wish: Wish): Promise<void> } {
  const [state, setState] = useState<Making>({ making: false, said: '', mistake: '' });
  const make = async (wish: Wish): Promise<void> => {
    const mistake = 'from' in wish ? datesMistake(wish) : '';
    setState({ making: mistake === '', said: '', mistake });
    if (mistake !== '') return;
    try {
      const name = fileName(site, wish);
      keep(await fetchFile(wish), name);
      setState({ making: false, said: t.reports.made(name), mistake: '' });
    } catch (error) {
      setState({ making: false, said: '', mistake: (error as Error).message });
    }
  };
  return { ...state, make };
}

/** The end of a form that makes files: what is wrong with it, its buttons, and what was made. @param id of the form */
export function MakingEnd(props: { id: string; state: Making; children: ComponentChildren }): JSX.Element {
  const { id, state, children } = props;
  return (
    <>
      <p id={`${id}-mistake`} class="mistake" role="alert">
        {state.mistake}
      </p>
      <div class="buttons">{children}</div>
      <p role="status">{state.said}</p>
    </>
  );
}

/** The button that makes the file most people want. */
export function MakeButton(props: { making: boolean; words: string; onMake: () => void }): JSX.Element {
  const { making, words, onMake } = props;
  return (
    <button type="button" class="sure" disabled={making} onClick={onMake}>
      {making ? t.reports.making : words}
    </button>
  );
}
