export function SettingsScreen() {
  return (
    <main class="sheet">
      <h1>Settings</h1>
    </main>
  );
}
