import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { t } from "../../words/words";

export type PageProps = {
  title: string;
  /** What stands in the window's title before the product's name, where it is longer than the heading. */
  windowTitle?: string;
  back?: { href: string; label: string } | null;
  wide?: boolean;
  heading?: boolean;
  /** What takes the focus instead of the heading: the row that was just changed. */
  focus?: string | null;
  children: ComponentChildren;
};

/** One screen: its window title, its way back and its heading, which takes the focus when the screen opens. */
export function Page({ title, windowTitle, back, heading = true, focus = null, children }: PageProps) {
  const shown = windowTitle ?? title;
  useEffect(() => {
    document.title = `${shown} – Platepath`;
  }, [shown]);
  useEffect(() => {
    const row = focus ? document.getElementById(focus) : null;
    if (row) {
      row.focus();
      row.scrollIntoView({ block: "center" });
      return;
    }
    window.scrollTo(0, 0);
    // An entry that is the whole page takes the focus, so that one tap less is needed.
    document.querySelector<HTMLElement>("main [data-first], h1")?.focus({ preventScroll: true });
  }, [location.hash]);
  return (
    <main id="main">
      {back && (
        <a class="back" href={back.href}>
          {back.label || t("back")}
        </a>
      )}
      {heading && <h1 tabIndex={-1}>{title}</h1>}
      {children}
    </main>
  );
}
