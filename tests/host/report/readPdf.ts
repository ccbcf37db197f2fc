// Reads a PDF as others do: its tags and text with pdf.js, as a screen reader would.
import { readFileSync } from 'node:fs';
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';

interface Node {
  role?: string;
  children?: Node[];
  type?: string;
  id?: string;
}

export interface Element {
  role: string;
  text: string;
  children: Element[];
}

/** Text of each piece of marked content of a page, by its id. */
function textsOf(items: object[]): Map<string, string> {
  const texts = new Map<string, string>();
  const open: string[] = [];
  for (const item of items) {
    const { type = '', id = '', str = '', tag } = item as Record<string, string>;
    if (type.startsWith('beginMarkedContent')) open.push(id ?? tag ?? '');
    else if (type === 'endMarkedContent') open.pop();
    else {
      const inside = open[open.length - 1] ?? '';
      const before = texts.get(inside);
      texts.set(inside, before === undefined ? str : `${before} ${str}`);
    }
  }
  return texts;
}

function elementOf(node: Node, texts: Map<string, string>): Element {
  const children = (node.children ?? []).filter(({ role }) => role !== undefined);
  const own = (node.children ?? []).map(({ id }) => texts.get(id ?? '') ?? '').join(' ');
  const inner = children.map((child) => elementOf(child, texts));
  return { role: node.role ?? '', text: own.replace(/\s+/g, ' ').trim(), children: inner };
}

export interface ReadPdf {
  /** Language of the document, BCP 47. */
  language: string;
  /** The tree of tags of each page. */
  pages: Element[];
  /** Text that is no part of the content, page by page: heads and feet. */
  artifacts: string[];
}

export async function readPdf(file: string): Promise<ReadPdf> {
  const document = await getDocument({ data: new Uint8Array(readFileSync(file)), verbosity: 0 }).promise;
  const { info } = await document.getMetadata();
  const read: ReadPdf = { language: (info as { Language: string }).Language, pages: [], artifacts: [] };
  for (let n = 1; n <= document.numPages; n++) {
    const page = await document.getPage(n);
    const { items } = await page.getTextContent({ includeMarkedContent: true });
    const texts = textsOf(items);
    read.pages.push(elementOf((await page.getStructTree()) as Node, texts));
    read.artifacts.push(texts.get('Artifact') ?? '');
  }
  await document.destroy();
  return read;
}

/** All elements of a role, in reading order. */
export function all(element: Element, role: string): Element[] {
  return [
    ...(element.role === role ? [element] : []),
    ...element.children.flatMap((child) => all(child, role)),
  ];
}
