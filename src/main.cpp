#include "platewise/cli/run.h"

int main(int argc, char** argv) {
  return platewise::run(argc, argv);
}
