ROUTES: tuple[()] = ()
