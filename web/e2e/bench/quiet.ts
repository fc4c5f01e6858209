// What is measured with the server's work behind it, such as previews that it still draws, says nothing of the page.
import { cpus } from 'node:os';

const patience = 300_000; // ms
const enough = 0.9; // of the processors idle

/** The processors' time so far: idle and in all, in ms. */
function spent() {
  let [idle, all] = [0, 0];
  for (const { times } of cpus()) {
    idle += times.idle;
    all += times.user + times.nice + times.sys + times.irq + times.idle;
  }
  return { idle, all };
}

/** Waits until the machine has had little to do for two seconds; where it does not come to rest, the figures that follow are worth
 * little, and that is said. */
export async function quiet() {
  const until = Date.now() + patience;
  for (let last = spent(); Date.now() < until; ) {
    await new Promise((done) => setTimeout(done, 2000));
    const now = spent();
    if ((now.idle - last.idle) / (now.all - last.all) >= enough) return;
    last = now;
  }
  console.log('  the machine has other work: what follows is measured beside it');
}
