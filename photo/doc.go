// Package photo reads scouting photographs as measurements: the exposure data of a JPEG or TIFF
// file (EXIF 2.3) and, from them and a pixel's value, the luminance that the camera saw there,
// with how sure that is.
//
// It decodes the pictures themselves too, from bytes. It must not know shoots or the disk.
package photo
