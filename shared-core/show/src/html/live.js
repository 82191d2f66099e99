// live
