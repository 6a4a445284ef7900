#pragma once
#include <memory>

#include "bearingdsp/history/store.hpp"
#include "history/sqlite.hpp"

namespace bearingdsp {

/// An open store, for the files that make up History.
struct History::Store {
  std::unique_ptr<sqlite::Database> database;
  int schema{0};
  Clock clock;
};

}  // namespace bearingdsp
