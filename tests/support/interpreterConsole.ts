// Question and answer with the interpreter, over anything that carries them: each question has a number and
// is answered with its checksum and one of the answer, and only one is on its way at a time. Lines that begin
// with 0x02 are meant for us: an answer begins with `=`, anything else is an event.
import { crc32 } from '../../firmware/journal/crc32';

/** Longer ones take the interpreter too long to read. */
const QUESTION_CHARS = 6000;

interface Waiting {
  checksum: number;
  resolve(answer: string): void;
  reject(failure: Error): void;
}

export class InterpreterConsole {
  /** Complaints the interpreter has printed. */
  readonly complaints: string[] = [];
  /** Called with every marked line that is not an answer, without the mark. */
  event: (line: string) => void = () => {};
  private waiting: Waiting | undefined;
  private last: Promise<unknown> = Promise.resolve();
  private number = 0;
  private unread = '';

  /** `hand` gives the interpreter the text of one question, for `eval`. */
  constructor(private readonly hand: (question: string) => void) {}

  /**
   * Value of a JavaScript expression, passed as JSON; undefined becomes null.
   * @throws Error with the interpreter's message when the expression throws there, or when no answer comes.
   */
  ask<T>(expression: string, timeoutMs = 300_000): Promise<T> {
    const text = `${++this.number};[${expression}]`;
    if (text.length > QUESTION_CHARS || expression.includes('\n'))
      return Promise.reject(
        new Error(`Ask in one line of at most ${QUESTION_CHARS} characters, not ${text.length}.`),
      );
    const answer = this.last.then(() => this.put(text, timeoutMs));
    this.last = answer.catch(() => {});
    return answer.then((json) => {
      const value = JSON.parse(json) as [T] | string;
      if (typeof value === 'string') throw new Error(`${expression}: ${value}`);
      return value[0];
    });
  }

  /** Bytes from the interpreter, Latin-1. */
  read(bytes: string): void {
    const lines = (this.unread + bytes).split('\n');
    this.unread = lines.pop() ?? '';
    for (const line of lines) {
      const mark = line.indexOf('\x02');
      const text = line.slice(mark + 1).replace(/\r/g, '');
      if (mark >= 0 && text[0] === '=') this.answer(text.slice(1));
      else if (mark >= 0) this.event(text);
      else if (/Uncaught|ERROR|error:|Interrupted|MEMORY/.test(line)) this.complaints.push(line.trim());
      // Whatever was in progress is lost, answers included.
      if (mark < 0 && /Execution Interrupted/.test(line)) this.fail(new Error(this.complaints.join(' ')));
    }
  }

  /** No more answers will come, and no more of a line that has begun. */
  fail(failure: Error): void {
    this.unread = '';
    this.waiting?.reject(failure);
    this.waiting = undefined;
  }

  /** `<checksum of the question> <checksum of the answer> <answer>`; one to an earlier question is ignored. */
  private answer(text: string): void {
    const [, question, checksum, answer] = /^(\d+) (\d+) (.*)$/.exec(text) ?? [];
    const waiting = this.waiting;
    if (!waiting || Number(question) !== waiting.checksum) return;
    this.waiting = undefined;
    if (Number(checksum) === crc32(answer)) waiting.resolve(answer);
    else waiting.reject(new Error(`An answer arrived damaged: ${text}`));
  }

  private async put(text: string, timeoutMs: number): Promise<string> {
    const answer = new Promise<string>((resolve, reject) => {
      this.waiting = { checksum: crc32(text), resolve, reject };
      this.hand(text);
    });
    const timer = setTimeout(() => {
      this.fail(new Error(`No answer to ${text} in ${timeoutMs} ms. ${this.complaints.join(' ')}`));
    }, timeoutMs);
    try {
      return await answer;
    } finally {
      clearTimeout(timer);
    }
  }
}
