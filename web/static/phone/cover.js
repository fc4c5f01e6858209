// @ts-check
// On a private site a kept photo waits here to be covered before it is sent. The original is never redrawn: what is laid over
// it goes along, and the server makes the copy that people see.
import { lay } from './lay.js';
import { tell, wake } from './queue.js';
import { bytesOf, change, get } from './store.js';
import { cover as say } from './coverwords.js';

/** @param {string} id of a kept photo that is held back until somebody looked at it */
export async function cover(id) {
  const row = await get('file', id);
  if (!row?.hold) return;
  const src = URL.createObjectURL(await bytesOf(id));
  const covers = await lay(src, { send: say.send, none: say.nothing });
  URL.revokeObjectURL(src);
  if (!covers) return;
  await change('file', id, (now) => now && { ...now, covers, hold: false });
  tell();
  wake();
}
