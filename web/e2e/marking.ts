// Attempts that wait to be marked, made through the API.
import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { sha256, type Centre, type Person } from './centre.js';
import { photo } from './photo.js';
import { password } from './settings.js';

/** A criterion as the API shows it. */
export interface Judged { criterion: string; decision?: { outcome: string; reason?: string; words?: string; by_name: string }; earlier: { outcome: string }[] }
export interface Marked { id: string; state: string; revision: number; trainee: string; criteria: Judged[] }

export const marked = (centre: Centre, who: Person, id: string) => centre.json<Marked>(who, 'GET', `/api/attempts/${id}`);

/** marking.yaml under a key of its own. */
export const markingBrief = () => readFileSync('marking.yaml', 'utf8').replace('key: bay-7-marking', `key: bay-7-marking-${randomUUID().slice(0, 8)}`);

/** Publishes the text as a brief's first version, or as the one after the version whose text is given, and gives the brief's id. */
export async function publish(centre: Centre, author: Person, source: string, after?: string): Promise<string> {
  const { brief, version } = await centre.json<{ brief: string; version: number }>(author, 'POST', '/api/briefs', { source, over: after && sha256(after) });
  const [at, digest] = [`/api/briefs/${brief}/versions/${version}`, sha256(source)];
  await centre.json(author, 'POST', `${at}/ask`, { digest });
  await centre.json(await centre.person('rathmell'), 'POST', `${at}/publish`, { digest });
  return brief;
}

/** What a trainee hands in: readings of their own, and every third has two digits of the heat changed round. */
function answers(n: number) {
  const [qv, tf, tr] = [11 + (n % 30) / 10, 68 + (n % 7) / 10, 51 + (n % 5) / 10];
  const heat = ((qv / 60) * 0.9875 * 4.183 * (tf - tr)).toFixed(1);
  const stated = n % 3 === 0 ? heat.replace(/^(.)(.)/, '$2$1') : heat;
  const working = `${qv.toFixed(1)} ÷ 60 × 0.9875 × 4.183 × (${tf.toFixed(1)} − ${tr.toFixed(1)}) = ${heat}`;
  const lines = { hazards: 'Hot pipes and a wet floor by the drain cock.', qv: qv.toFixed(1), tf: tf.toFixed(1), tr: tr.toFixed(1), enough: Number(stated) >= 14 ? 'it does' : 'it does not' };
  return [...Object.entries(lines).map(([item, text]) => ({ id: randomUUID(), item, text })), { id: randomUUID(), item: 'heat', text: stated, working }];
}

/** Cohorts taught by the tutors, in each of which the same trainees have handed in the brief, or one of their own. Gives the ids of the attempts once the
 * marker has been at all of them, the longest wait first. */
export async function handedIn(centre: Centre, tutors: Person[], trainees: number, cohorts = 1, of?: string): Promise<string[]> {
  const manager = await centre.person('farrowby');
  const brief = of ?? (await publish(centre, await centre.person('ellingham'), markingBrief()));
  const people: Person[] = [];
  for (let i = 0; i < trainees; i++) people.push(await centre.newTrainee(`Trainee ${String.fromCharCode(65 + (i % 26))}${i}`));
  for (let i = 0; i < cohorts; i++) {
    const { id: cohort } = await centre.json<{ id: string }>(manager, 'POST', '/api/cohorts', { name: `Marking ${randomUUID().slice(0, 8)}` });
    for (const [all, part] of [[people, 'trainee'], [tutors, 'tutor']] as const) {
      for (const { id: person } of all) await centre.json(manager, 'POST', `/api/cohorts/${cohort}/members`, { person, part });
    }
    await centre.json(tutors[0], 'POST', `/api/cohorts/${cohort}/tasks`, { brief, version: 1 });
  }
  const ids: string[] = [];
  for (const p of people) ids.push(...await handInAll(centre, p, ids.length + 1));
  await checked(centre, tutors[0], ids);
  return ids;
}

/** Has a trainee hand in every task that is set to them, with answers that differ from one number to the next. Gives the attempts' ids. */
export async function handInAll(centre: Centre, p: Person, from: number): Promise<string[]> {
  const { tasks } = await centre.json<{ tasks: { attempt: string }[] }>(p, 'GET', '/api/tasks');
  for (const [i, { attempt }] of tasks.entries()) {
    const at = `/api/attempts/${attempt}`;
    await centre.json(p, 'POST', `${at}/open`, { plan_agreed: true, risk_seen: true });
    await centre.json(p, 'POST', `${at}/entries`, { entries: answers(from + i) });
    await centre.send(p, 'PUT', `${at}/files/${randomUUID()}?item=before&name=rig.jpg`, photo(40_000, from + i), { 'Content-Type': 'image/jpeg' });
    await centre.json(p, 'POST', `${at}/hand-over`, { own_work: true });
  }
  return tasks.map((t) => t.attempt);
}

/** Waits until the marker has been at all of them. */
export async function checked(centre: Centre, tutor: Person, ids: string[]) {
  for (const id of ids) while ((await marked(centre, tutor, id)).state !== 'checked') await new Promise((done) => setTimeout(done, 200));
}

/** Has a tutor find every criterion of an attempt met, and sign it off. */
export async function signOffAllMet(centre: Centre, tutor: Person, id: string) {
  for (const { criterion } of (await marked(centre, tutor, id)).criteria) {
    const { revision } = await marked(centre, tutor, id);
    await centre.json(tutor, 'POST', `/api/attempts/${id}/decide`, { revision, criterion, outcome: 'met' });
  }
  const { revision } = await marked(centre, tutor, id);
  await centre.json(tutor, 'POST', `/api/attempts/${id}/sign-off`, { revision, password });
}
