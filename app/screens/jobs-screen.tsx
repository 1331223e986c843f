export function JobsScreen() {
  return (
    <main class="sheet">
      <h1>Jobs</h1>
    </main>
  );
}
