// A word with its shape: every state can be read without colour.
import type { JSX } from 'preact';
import type { Figure } from '../words/floor';
import type { Tone } from '../words/tone';

const SHAPES: Record<Figure, JSX.Element> = {
  good: (
    <>
      <circle cx="8" cy="8" r="7.5" class="fill" />
      <path d="M4.3 8.4 7 11l4.8-5.6" class="cut" />
    </>
  ),
  fault: (
    <>
      <path d="M5 .5h6L15.5 5v6L11 15.5H5L.5 11V5z" class="fill" />
      <path d="M5.2 5.2l5.6 5.6m0-5.6-5.6 5.6" class="cut" />
    </>
  ),
  busy: (
    <>
      <path d="M8 .8 15.6 15H.4z" class="fill" />
      <path d="M5.6 9.2h4.8M5 12.2h6" class="cut" />
    </>
  ),
  idle: <circle cx="8" cy="8" r="6.5" class="ring" />,
  retest: (
    <>
      <path d="M8 .3 15.7 8 8 15.7.3 8z" class="fill" />
      <path d="M8 4.4v4.2m0 1.8v1.4" class="cut" />
    </>
  ),
  void: (
    <>
      <circle cx="8" cy="8" r="6.5" class="ring whole" />
      <path d="M4.5 8h7" class="ring whole" />
    </>
  ),
  unknown: (
    <>
      <circle cx="8" cy="8" r="6.5" class="ring" />
      <path d="M5.9 6.4a2.1 2.1 0 1 1 3 1.9c-.7.3-.9.7-.9 1.4m0 1.5v.8" class="ring whole" />
    </>
  ),
};

/** The shape alone; the word must stand beside it. `figure` where the tone's own shape stands for something else. */
export function Shape({ tone, figure = tone }: { tone: Tone; figure?: Figure }): JSX.Element {
  return (
    <svg class={`shape ${tone}`} viewBox="0 0 16 16" aria-hidden="true">
      {SHAPES[figure]}
    </svg>
  );
}

/** Shape and word. */
export function Mark({ tone, word }: { tone: Tone; word: string }): JSX.Element {
  return (
    <span class={`mark ${tone}`}>
      <Shape tone={tone} />
      {word}
    </span>
  );
}
