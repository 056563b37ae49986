from tests.benchmarks.reading.run import main

main()
