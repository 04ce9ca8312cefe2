//! Growth curves of animals and of the flock: Gompertz and Brody, fitted by least squares.
