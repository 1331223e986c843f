/** A page that is watched for what hostile text would do if it ever became more than text. */
import type { Page } from 'playwright-core';
import type { Browser } from '../rig/browser.ts';

interface Witness {
  hits: number;
  violations: string[];
}

/** Counts calls of hit(), and what the browser's policy had to forbid. To be called before the page is opened. */
export async function watch({ context }: Browser): Promise<void> {
  await context.addInitScript(() => {
    const witness: Witness = { hits: 0, violations: [] };
    Object.assign(window, {
      witness,
      hit: () => {
        witness.hits += 1;
      },
    });
    document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI, sample }) => {
      // The driver of these tests works by eval, which the browser lets it do and reports all the same.
      if (sample.startsWith('eval|')) return;
      witness.violations.push(`${violatedDirective} ${blockedURI}`);
    });
  });
}

/** What on the page could not have come from the page itself, and what the witness saw. All empty when all is well. */
export function strangeThings(page: Page) {
  return page.evaluate(() => {
    const own = new URL('.', location.href).href;
    const odd = [...document.querySelectorAll('*')].filter((element) => {
      const { tagName } = element;
      if (['IFRAME', 'OBJECT', 'EMBED', 'BASE', 'FOREIGNOBJECT'].includes(tagName.toUpperCase())) return true;
      if (tagName === 'SCRIPT' && !(element as HTMLScriptElement).src.startsWith(own)) return true;
      if (tagName === 'IMG' && !(element as HTMLImageElement).src.startsWith('blob:')) return true;
      return [...element.attributes].some(
        ({ name, value }) =>
          name.startsWith('on') || (/^(href|src|action)$/.test(name) && /^\s*javascript:/i.test(value)),
      );
    });
    const { witness } = window as unknown as { witness: Witness };
    return { odd: odd.map((element) => element.outerHTML.slice(0, 200)), ...witness };
  });
}

export const NOTHING_STRANGE = { odd: [], hits: 0, violations: [] };
