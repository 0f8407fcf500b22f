/** Files that leave the app. */

/** Hands a file to the phone's share sheet, or saves it where there is none. */
export async function handOver(name: string, type: string, text: string, share: boolean): Promise<void> {
  const file = new File([text], name, { type });
  // Some share sheets take no other files than plain text; opening reads both alike.
  const plain = new File([text], `${name}.txt`, { type: "text/plain" });
  const shared = share ? [file, plain].find((one) => navigator.canShare?.({ files: [one] })) : undefined;
  if (shared) {
    try {
      await navigator.share({ files: [shared], title: name });
      return;
    } catch (error) {
      if (error instanceof DOMException && error.name === "AbortError") return;
    }
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** A file name from what a person typed. */
export function fileName(text: string, ending: string): string {
  const plain = text
    .normalize("NFKD")
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);
  return `${plain || "job"}.${ending}`;
}
