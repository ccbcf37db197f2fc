// An entry of the log book's own as one line.
import type { OrderKind } from '../../../firmware/contract/codes';
import type { LogEntryView } from '../../api/views';
import type { Entry } from '../../logbook/logbook';
import { type OwnBody, readOwn } from '../../logbook/own';
import { orderWords } from '../../words/codes';

function textOf(own: OwnBody | undefined): string {
  if (own?.kind === 'kept') return `Kept apart: ${own.why}`;
  if (own?.kind === 'ordered')
    return `${own.who} gave the order to ${orderWords(own.do as OrderKind, own.arg)} (order ${own.counter}).${own.account === undefined ? '' : ` Signed in as ${own.account}.`}`;
  if (own?.kind === 'answered') return `Answer to order ${own.counter}: ${own.answer}`;
  return 'An entry of a kind unknown to this host.';
}

/** What the log book wrote itself, as readers get it. */
export function ownView(entry: Entry, circuit: string): LogEntryView {
  const { entry: number, at, kind, body, hash } = entry;
  const mark = kind === 'kept' ? 'alarm' : 'note';
  return { entry: number, at, circuit, kind, text: textOf(readOwn(entry)), mark, body, hash };
}
