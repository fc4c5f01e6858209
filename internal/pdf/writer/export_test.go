package writer

// SRGB is the profile for tests.
var SRGB = sRGB
