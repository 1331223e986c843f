/** Chromium's, from drafts of Permissions Policy (W3C); other browsers have neither property. */
interface PolicyOfPage {
  features?(): readonly string[];
  allowsFeature(feature: string): boolean;
}

interface Document {
  readonly permissionsPolicy?: PolicyOfPage;
  readonly featurePolicy?: PolicyOfPage;
}
