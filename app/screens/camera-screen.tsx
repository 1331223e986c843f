export function CameraScreen() {
  return (
    <main class="sheet">
      <h1>Camera</h1>
    </main>
  );
}
