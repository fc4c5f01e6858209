// The oracle compares what was acknowledged, what the person did and what the phone says with what the centre has: all of it
// there byte for byte, each exactly once. It answers with what is wrong, in sentences; none is a pass.
import { sha256, type Attempt, type Centre, type Entry, type Item, type Sheet } from './centre.js';
import type { Ledger } from './ledger.js';
import type { Kept } from './phone.js';

/** What a person did to one attempt, as the test remembers it. */
export class Deeds {
  /** The last text of each line, by its name as in decision.Line. */
  readonly lines = new Map<string, string>();
  /** SHA-256 of every photo with the item it is for. */
  readonly photos = new Map<string, string>();

  typed(line: string, text: string) { this.lines.set(line, text); }
  took(item: string, bytes: Buffer) { this.photos.set(sha256(bytes), item); }
}

export const lineName = (item: string, part = '', phase = '') => item + (part && `#${part}`) + (phase && `@${phase}`);

const items = (s: Sheet): Item[] => s.stages.flatMap((stage) => stage.items);

/** Every line of a sheet with all that was ever in it, the oldest first, and how often each stands there. */
function history(s: Sheet) {
  return new Map<string, Entry[]>([
    ...items(s).flatMap((it) => it.lines.map((l): [string, Entry[]] => [lineName(it.key, l.part, l.phase), [...l.earlier, ...(l.entry ? [l.entry] : [])]])),
    ...s.stages.map((stage): [string, Entry[]] => [`helped/${stage.key}`, stage.helped ? [stage.helped] : []]),
  ]);
}

/** Holds one attempt against the list, the person's deeds and the phones. */
export async function wrong(centre: Centre, attempt: Attempt, ledger: Ledger, deeds = new Deeds(), phones: Kept[] = []): Promise<string[]> {
  const out: string[] = [];
  const sheet = await centre.sheet(attempt);
  const lines = history(sheet);
  const set = items(sheet).flatMap((it) => it.files.map((f) => ({ ...f, item: it.key })));
  // What is held back is there as well; it is no part of what the person handed over.
  const files = [...set, ...sheet.held.flatMap((h) => (h.file ? [{ ...h.file, id: h.id, item: h.item }] : []))];

  for (const e of ledger.of('entry').filter((e) => e.attempt === attempt.id && !e.item.includes('/'))) {
    const name = lineName(e.item, e.part, e.phase);
    const there = (lines.get(name) ?? []).filter((x) => x.text === e.text && (x.unit ?? '') === e.unit && (x.working ?? '') === e.working);
    const held = sheet.held.some((h) => h.id === e.id);
    if (there.length === 0 && !held && e.text + e.working !== '') out.push(`lost: ${name} “${e.text}” was acknowledged`);
  }
  for (const [name, all] of lines) {
    const seen = new Set<string>();
    for (const x of all) {
      const key = JSON.stringify([x.text, x.unit, x.working, x.captured_at]);
      if (seen.has(key)) out.push(`double: ${name} “${x.text}” stands there twice`);
      seen.add(key);
    }
  }
  for (const f of ledger.of('file').filter((f) => f.attempt === attempt.id && !f.item.includes('/'))) {
    const there = files.filter((x) => x.id === f.id);
    if (there.length !== 1) out.push(`${there.length ? 'double' : 'lost'}: photo ${f.id} was acknowledged and is there ${there.length} times`);
    if (there.some((x) => x.sha256 !== f.digest || x.item !== f.item)) out.push(`another: photo ${f.id} has another digest or place than was acknowledged`);
  }
  for (const f of files) {
    const digest = sha256(await centre.bytes(attempt.trainee, f.id));
    if (digest !== f.sha256) out.push(`another: the bytes of photo ${f.id} are not those of its digest`);
  }
  out.push(...undone(deeds, lines, set));
  for (const kept of phones) out.push(...untrue(kept, attempt, ledger));
  return out;
}

function undone(deeds: Deeds, lines: Map<string, readonly { text: string }[]>, files: { item: string; sha256: string }[]): string[] {
  const out: string[] = [];
  for (const [name, text] of deeds.lines) {
    const last = lines.get(name)?.at(-1)?.text ?? '';
    if (last !== text) out.push(`lost: ${name} was left at “${text}” and the centre has “${last}”`);
  }
  for (const [digest, item] of deeds.photos) {
    const there = files.filter((f) => f.sha256 === digest && f.item === item).length;
    if (there !== 1) out.push(`${there ? 'double' : 'lost'}: a photo of ${item} is there ${there} times`);
  }
  return out;
}

/** What a phone calls received and the recorder never saw acknowledged. */
function untrue(kept: Kept, attempt: Attempt, ledger: Ledger): string[] {
  const entries = new Set(ledger.of('entry').map((e) => e.id));
  const files = new Set(ledger.of('file').map((f) => f.id));
  return [
    ...kept.line.filter((l) => l.attempt === attempt.id && l.state === 'received' && !entries.has(l.id)).map((l) => `untrue: the phone calls ${l.line} received`),
    ...kept.file.filter((f) => f.attempt === attempt.id && f.state === 'received' && !files.has(f.id)).map((f) => `untrue: the phone calls photo ${f.id} received`),
  ];
}
