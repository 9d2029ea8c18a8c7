/* The C interface of Apical. Made from src/c.rs by cbindgen; a test compares.
   Texts are UTF-8 with their length in bytes; answers are JSON, ended by a NUL. */

#ifndef APICAL_H
#define APICAL_H

#include <stddef.h>
#include <stdint.h>

// The version of this interface: it grows when a caller built against an older one would
// break.
#define APICAL_ABI_VERSION 1

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// The version of the interface that the library was built with; compare it with
// `APICAL_ABI_VERSION` of the header.
uint32_t apical_abi_version(void);

// The version of the library, such as `0.1.0`. Never freed.
const char *apical_version(void);

// Whether `length` bytes at `text` are a transcription with a reading: 1 yes, 0 no, -1 if
// `text` is null. Bytes that are not UTF-8 have no reading.
//
// # Safety
//
// `text` is null, or `length` bytes can be read there until the call returns.
int32_t apical_is_valid(const char *text, size_t length);

// What is wrong with `length` bytes at `text`: the object that `apical check --format json`
// writes. Null if `text` is null. To be given to `apical_free`.
//
// # Safety
//
// `text` is null, or `length` bytes can be read there until the call returns.
char *apical_check(const char *text, size_t length);

// What each segment of `length` bytes at `text` is: the object that `apical describe
// --format json` writes. Null if `text` is null. To be given to `apical_free`.
//
// # Safety
//
// `text` is null, or `length` bytes can be read there until the call returns.
char *apical_describe(const char *text, size_t length);

// Gives an answer back. Null is let pass.
//
// # Safety
//
// `answer` is null or came from a function of this library, and is not used again.
void apical_free(char *answer);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* APICAL_H */
