#include <cstdio>

int main() {
  std::puts("bearingdsp " BEARINGDSP_VERSION);
  return 0;
}
