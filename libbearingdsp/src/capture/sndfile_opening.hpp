#pragma once
#include <mutex>

namespace bearingdsp::capture_detail {

/// Held while libsndfile opens a file and is asked why it could not: it keeps both that reason and
/// the state of its random numbers in variables of the process, so that threads would overwrite
/// each other's. What is open is the caller's alone.
inline std::mutex& sndfile_opening() {
  static std::mutex mutex;
  return mutex;
}

}  // namespace bearingdsp::capture_detail
