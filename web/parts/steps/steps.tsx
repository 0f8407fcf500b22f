/** The arithmetic, one line a step, as the engine wrote it. */
export function Steps({ steps }: { steps?: string[] | null }) {
  if (!steps || steps.length === 0) return null;
  return (
    <ol class="steps" lang="en">
      {steps.map((step, index) => (
        <li key={index}>{step}</li>
      ))}
    </ol>
  );
}
