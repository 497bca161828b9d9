"""An aircraft that is flown in this process by a library for flight dynamics (extra ``fdm``)."""
