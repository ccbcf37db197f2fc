// The mutants of the core that no test caught, each with the reason why it may survive. Run after the
// mutation tests:
//   npm run test:mutation
// Reads their report and `survivors.json`; with --write it also brings docs/mutation.md up to date.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

interface Mutant {
  mutatorName: string;
  replacement: string;
  status: string;
  location: { start: { line: number; column: number }; end: { line: number; column: number } };
}

interface Report {
  files: Record<string, { source: string; mutants: Mutant[] }>;
}

/** A change that no test notices, identified by the text it replaces: lines move, texts stay. */
interface Survivor {
  file: string;
  was: string;
  becomes: string;
  reason: string;
}

const at = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const LEAST_PERCENT = 90;

function textAt(source: string, { start, end }: Mutant['location']): string {
  const lines = source.split('\n').slice(start.line - 1, end.line);
  lines[lines.length - 1] = lines[lines.length - 1].slice(0, end.column - 1);
  lines[0] = lines[0].slice(start.column - 1);
  return lines.join(' ').replace(/\s+/g, ' ').trim();
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

function livingOf(report: Report): Survivor[] {
  return Object.entries(report.files).flatMap(([file, { source, mutants }]) =>
    mutants
      .filter((m) => m.status === 'Survived' || m.status === 'NoCoverage')
      .map((m) => ({ file, was: textAt(source, m.location), becomes: oneLine(m.replacement), reason: '' })),
  );
}

const isSame = (a: Survivor, b: Survivor) => a.file === b.file && a.was === b.was && a.becomes === b.becomes;

function tableOf(living: Survivor[]): string {
  const cell = (text: string) => `\`${text.replaceAll('|', '\\|')}\``;
  const files = [...new Set(living.map((s) => s.file))].sort();
  return files
    .map((file) => {
      const rows = living
        .filter((s) => s.file === file)
        .map((s) => `| ${cell(s.was)} | ${cell(s.becomes)} | ${s.reason} |`);
      return `### ${file}\n\n| was | becomes | why it may survive |\n| --- | --- | --- |\n${rows.join('\n')}\n`;
    })
    .join('\n');
}

function main(): void {
  const report: Report = JSON.parse(readFileSync(at('../../build/mutation/report.json'), 'utf8'));
  const known: Survivor[] = JSON.parse(readFileSync(at('./survivors.json'), 'utf8'));
  const all = Object.values(report.files).flatMap((file) => file.mutants);
  const judged = all.filter((m) => ['Killed', 'Timeout', 'Survived', 'NoCoverage'].includes(m.status));
  const living = livingOf(report);
  const killed = judged.length - living.length;
  const percent = Math.floor((killed * 1000) / judged.length) / 10;
  for (const s of living) s.reason = known.find((k) => isSame(k, s))?.reason ?? '';
  const bare = living.filter((s) => s.reason === '');
  for (const s of bare) console.log(`No reason given: ${s.file}: "${s.was}" becomes "${s.becomes}"`);
  console.log(`${killed} of ${judged.length} mutants killed (${percent} %), ${living.length} live`);
  if (process.argv.includes('--write')) {
    const page = at('../../docs/mutation.md');
    const intro = readFileSync(page, 'utf8').split('## Survivors')[0];
    const told = `${killed} of ${judged.length} mutants killed: ${percent} %.\n\n`;
    writeFileSync(page, `${intro}## Survivors\n\n${told}${tableOf(living)}`);
  }
  if (bare.length > 0 || percent < LEAST_PERCENT) process.exitCode = 1;
}

main();
