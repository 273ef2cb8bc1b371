package joblog
