// The interpreter's console as question and answer, over any channel that carries its bytes. Lines that begin
// with 0x02 are meant for us: an answer is a JSON array or text, anything else is an event.

/** The console accepts longer lines, but too slowly for a test to wait. */
const LINE_BYTES = 6000;

interface Waiting {
  resolve(answer: string): void;
  reject(failure: Error): void;
}

/**
 * A console line without echo (0x10) that answers, marked by 0x02, with the value in an array, or with the
 * message of what was thrown. Not a function, or the interpreter would hold the text twice.
 */
function line(expression: string): string {
  const say = (value: string) => `print("\\x02"+JSON.stringify(${value}))`;
  const text = `\x10try{${say(`[${expression}]`)}}catch(e){${say('""+e')}}\n`;
  if (text.length > LINE_BYTES || expression.includes('\n'))
    throw new Error(`Ask in one line of at most ${LINE_BYTES} characters, not ${text.length}.`);
  return text;
}

export class InterpreterConsole {
  /** Complaints the interpreter has printed. */
  readonly complaints: string[] = [];
  /** Called with every marked line that is not an answer, without the mark. */
  event: (line: string) => void = () => {};
  private readonly waiting: Waiting[] = [];
  private unread = '';

  /** `write` carries bytes (Latin-1) to the interpreter. */
  constructor(private readonly write: (bytes: string) => void) {}

  /**
   * Value of a JavaScript expression of at most 5,900 characters, passed as JSON; undefined becomes null.
   * @throws Error with the interpreter's message when the expression throws there, or when no answer comes.
   */
  async ask<T>(expression: string, timeoutMs = 120_000): Promise<T> {
    const text = await this.send(line(expression), timeoutMs);
    const answer = JSON.parse(text) as [T] | string;
    if (typeof answer === 'string') throw new Error(`${expression}: ${answer}`);
    return answer[0];
  }

  /** Bytes from the interpreter. */
  read(bytes: string): void {
    const lines = (this.unread + bytes).split('\n');
    this.unread = lines.pop() ?? '';
    for (const line of lines) {
      const mark = line.indexOf('\x02');
      const text = line.slice(mark + 1).replace(/\r/g, '');
      if (mark >= 0 && /^[["]/.test(text)) this.waiting.shift()?.resolve(text);
      else if (mark >= 0) this.event(text);
      else if (/Uncaught|ERROR|error:|Interrupted|MEMORY/.test(line)) this.complaints.push(line.trim());
      // Whatever was in progress is lost, answers included.
      if (mark < 0 && /Execution Interrupted/.test(line)) this.fail(new Error(this.complaints.join(' ')));
    }
  }

  /** No more answers will come. */
  fail(failure: Error): void {
    for (const one of this.waiting.splice(0)) one.reject(failure);
  }

  private async send(text: string, timeoutMs: number): Promise<string> {
    const answer = new Promise<string>((resolve, reject) => {
      this.waiting.push({ resolve, reject });
      this.write(text);
    });
    const timer = setTimeout(() => {
      this.fail(new Error(`No answer to ${text.trim()} in ${timeoutMs} ms. ${this.complaints.join(' ')}`));
    }, timeoutMs);
    try {
      return await answer;
    } finally {
      clearTimeout(timer);
    }
  }
}
